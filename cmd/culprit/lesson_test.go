package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestLesson follows docs/writing-rules.md as its reader does, from top to bottom in an
// empty folder: it writes the files, mends the lines that are to be mended, runs every
// command at 80 columns, and holds the page to what is printed and to every exit status
// that is not 0.
func TestLesson(t *testing.T) {
	page, err := filepath.Abs("../../docs/writing-rules.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	now, commands, err := follow(t, string(text))
	if err != nil {
		t.Fatal(err)
	}
	if commands == 0 {
		t.Fatal("the page shows no command")
	}
	if *update {
		if err := os.WriteFile(page, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(now, string(text)); diff != "" {
		t.Errorf("the lesson differs from what the program prints (-program +page); run go test ./cmd/culprit -update:\n%s", diff)
	}
}

// What stands in the line before a block of YAML says what the reader does with it.
var (
	fileLine    = regexp.MustCompile("^File `([a-z/.-]+\\.yaml)`:$")
	insteadLine = regexp.MustCompile("^In `([a-z/.-]+\\.yaml)`, instead of$")
)

// spoken is a whole command in the running text. It has to work where it stands.
var spoken = regexp.MustCompile("`culprit ([^`]+)`")

// follow does what a page says and gives it back as it ought to be, with the number of
// commands that were run. A block that it does not know how to follow is an error, so
// that nothing on the page goes untried.
func follow(t *testing.T, page string) (now string, commands int, err error) {
	lines := strings.Split(page, "\n")
	var out []string
	last := "" // the last line of text before a block
	var mend struct{ file, old string }
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		out = append(out, line)
		if !strings.HasPrefix(line, "```") {
			if strings.TrimSpace(line) != "" {
				last = line
			}
			for _, command := range spoken.FindAllStringSubmatch(line, -1) {
				if printed, status := sitting(words(t, command[1])); status == exitBadInput {
					return "", 0, fmt.Errorf("line %d: %q prints %q", i+1, command[0], printed)
				}
			}
			continue
		}
		end := slices.Index(lines[i+1:], "```")
		if end < 0 {
			return "", 0, fmt.Errorf("line %d: a block has no end", i+1)
		}
		block := lines[i+1 : i+1+end]
		body := strings.Join(block, "\n") + "\n"
		switch file, instead := fileLine.FindStringSubmatch(last), insteadLine.FindStringSubmatch(last); {
		case line == "```yaml" && file != nil:
			err = writeNew(file[1], body)
		case line == "```yaml" && instead != nil:
			mend.file, mend.old = instead[1], body
		case line == "```yaml" && last == "write" && mend.file != "":
			err = replaceOnce(mend.file, mend.old, body)
			mend.file = ""
		case line == "```console":
			var ran int
			block, ran, err = replay(t, block)
			commands += ran
		case line == "```text": // a picture
		default:
			err = fmt.Errorf("nothing tells what to do with this block after %q", last)
		}
		if err != nil {
			return "", 0, fmt.Errorf("line %d: %w", i+1, err)
		}
		out = append(append(out, block...), "```")
		i += end + 1
		last = ""
	}
	if mend.file != "" {
		return "", 0, fmt.Errorf("nothing stands instead of what is to be mended in %s", mend.file)
	}
	return strings.Join(out, "\n"), commands, nil
}

func writeNew(name, body string) error {
	if _, err := os.Stat(name); err == nil {
		return fmt.Errorf("%s is there already", name)
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, []byte(body), 0o644)
}

// replaceOnce puts whole lines in the place of others, which must stand in the file once.
func replaceOnce(name, old, body string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	if n := strings.Count("\n"+string(text), "\n"+old); n != 1 {
		return fmt.Errorf("these lines stand %d times in %s, not once", n, name)
	}
	mended := strings.Replace("\n"+string(text), "\n"+old, "\n"+body, 1)
	return os.WriteFile(name, []byte(mended[1:]), 0o644)
}

// replay runs the command of a block and gives the block as it ought to be: the command,
// what is printed, and the exit status where it is not 0. A line "…" in the block stands
// for lines that are left out; as many as before stay in front of it and behind it.
func replay(t *testing.T, block []string) ([]string, int, error) {
	const prompt = "$ culprit "
	if len(block) == 0 || !strings.HasPrefix(block[0], prompt) {
		return nil, 0, fmt.Errorf("a console block begins with %q", prompt)
	}
	printed, status := sitting(words(t, strings.TrimPrefix(block[0], prompt)))
	fresh := strings.Split(strings.TrimSuffix(printed, "\n"), "\n")
	if status != 0 {
		fresh = append(fresh, fmt.Sprintf("(exit status %d)", status))
	}
	shown := block[1:]
	for _, line := range shown {
		if strings.HasPrefix(line, prompt) {
			return nil, 0, fmt.Errorf("one command a block: %q", line)
		}
	}
	if head := slices.Index(shown, "…"); head >= 0 {
		tail := len(shown) - head - 1
		if slices.Contains(shown[head+1:], "…") {
			return nil, 0, fmt.Errorf("%q leaves lines out twice", block[0])
		}
		if head+tail >= len(fresh) {
			return nil, 0, fmt.Errorf("%q prints %d lines, so none is left out", block[0], len(fresh))
		}
		fresh = slices.Concat(fresh[:head], []string{"…"}, fresh[len(fresh)-tail:])
	}
	return append([]string{block[0]}, fresh...), 1, nil
}

// TestFollowRefuses holds the follower to refusing what it could not try.
func TestFollowRefuses(t *testing.T) {
	for _, tt := range []struct{ reason, page, want string }{
		{"a file that nobody names would not be written", "Some text\n```yaml\na: 1\n```\n", `line 2: nothing tells what to do with this block after "Some text"`},
		{"a command in the text that does not exist", "Ask `culprit frobnicate`.\n", "line 1: \"`culprit frobnicate`\" prints"},
		{"a shell of its own would not be run", "```sh\nculprit rank\n```\n", `line 1: nothing tells what to do with this block after ""`},
		{"the rest of the page would be taken for the block", "```console\n$ culprit help\n", "line 1: a block has no end"},
		{"the second output would be taken for the first's", "```console\n$ culprit help\n$ culprit help\n```\n", `line 1: one command a block: "$ culprit help"`},
		{"a file written twice hides what the reader has", "File `a.yaml`:\n```yaml\nx\n```\nFile `a.yaml`:\n```yaml\nx\n```\n", "line 6: a.yaml is there already"},
		{"what is to be mended must be there", "File `a.yaml`:\n```yaml\nx\n```\nIn `a.yaml`, instead of\n```yaml\ny\n```\nwrite\n```yaml\nz\n```\n", "line 10: these lines stand 0 times in a.yaml, not once"},
		{"half of a mending", "In `a.yaml`, instead of\n```yaml\ny\n```\n", "nothing stands instead of what is to be mended in a.yaml"},
		{"an ellipsis that hides nothing", "```console\n$ culprit frobnicate\n…\n1\n2\n3\n4\n5\n6\n7\n8\n9\n```\n", "so none is left out"},
	} {
		t.Run(tt.reason, func(t *testing.T) {
			t.Chdir(t.TempDir())
			_, _, err := follow(t, tt.page)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("follow: %v; want %q", err, tt.want)
			}
		})
	}
}

// TestFollowShowsDrift holds the follower to putting right what a page has wrong.
func TestFollowShowsDrift(t *testing.T) {
	for _, tt := range []struct{ reason, page, want string }{
		{"a line that is not printed", "```console\n$ culprit proofread nowhere\nall well\n```",
			"```console\n$ culprit proofread nowhere\nculprit: \"nowhere\" is neither a shipped pack nor a folder: no such pack\n(exit status 2)\n```"},
		{"a wrong exit status", "```console\n$ culprit proofread nowhere\n…\n(exit status 1)\n```",
			"```console\n$ culprit proofread nowhere\n…\n(exit status 2)\n```"},
	} {
		t.Run(tt.reason, func(t *testing.T) {
			t.Chdir(t.TempDir())
			now, _, err := follow(t, tt.page)
			if err != nil || now != tt.want {
				t.Errorf("follow gives %v and\n%s\nwant\n%s", err, now, tt.want)
			}
		})
	}
}
