package source

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

func formatted(ps Problems) string {
	var b strings.Builder
	ps.Format(&b)
	return b.String()
}

func TestFormat(t *testing.T) {
	at := func(text string, line, column int) Pos { return Pos{NewFile("f.yaml", []byte(text)), line, column} }
	second := at("a: b\n", 1, 1)
	long := strings.Repeat("x", 300)
	distinct := reasons(t)
	for _, row := range []struct {
		reason string
		p      Problem
		want   string
	}{
		{"everything", Problem{Pos: at("a: b\nc: de\n", 2, 4), Width: 2, Text: "wrong", Hint: "mend it", Other: &second},
			"f.yaml:2:4: wrong\n    c: de\n       ^^\n    mend it\n    also here: f.yaml:1:1\n"},
		{"a file as a whole has no line", Problem{Pos: at("a", 0, 0), Text: "wrong"}, "f.yaml: wrong\n"},
		{"no file", Problem{Text: "wrong"}, "?: wrong\n"},
		{"no width is one caret", Problem{Pos: at("a: b", 1, 4), Text: "wrong"}, "f.yaml:1:4: wrong\n    a: b\n       ^\n"},
		{"a width past the line's end stops there", Problem{Pos: at("a: b\nc", 1, 4), Width: 9, Text: "wrong"}, "f.yaml:1:4: wrong\n    a: b\n       ^\n"},
		{"a place after the line's end", Problem{Pos: at("a: b\n", 1, 5), Width: 1, Text: "wrong"}, "f.yaml:1:5: wrong\n    a: b\n        ^\n"},
		{"a tab stands in both lines", Problem{Pos: at("a:\tb", 1, 4), Width: 1, Text: "wrong"}, "f.yaml:1:4: wrong\n    a:\tb\n      \t^\n"},
		{"letters of several bytes count one", Problem{Pos: at("äöü: b", 1, 6), Width: 1, Text: "wrong"}, "f.yaml:1:6: wrong\n    äöü: b\n         ^\n"},
		{"CR LF shows no CR", Problem{Pos: at("a: b\r\nc: d\r\n", 1, 4), Width: 1, Text: "wrong"}, "f.yaml:1:4: wrong\n    a: b\n       ^\n"},
		{"an escape sequence does not reach the terminal", Problem{Pos: at("a: \x1b[31m", 1, 5), Width: 1, Text: "wrong"}, "f.yaml:1:5: wrong\n    a: \ufffd[31m\n        ^\n"},
		{"an empty line", Problem{Pos: at("\n\n", 2, 1), Width: 1, Text: "wrong"}, "f.yaml:2:1: wrong\n\n    ^\n"},
		{"the start of a long line", Problem{Pos: at(long, 1, 1), Width: 1, Text: "wrong"},
			"f.yaml:1:1: wrong\n    " + long[:74] + "…\n    ^\n"},
		{"the middle of a long line", Problem{Pos: at(long, 1, 150), Width: 3, Text: "wrong"},
			"f.yaml:1:150: wrong\n    …" + long[:74] + "…\n    " + strings.Repeat(" ", 38) + "^^^\n"},
		{"the end of a long line", Problem{Pos: at(long, 1, 300), Width: 1, Text: "wrong"},
			"f.yaml:1:300: wrong\n    …" + long[:74] + "\n    " + strings.Repeat(" ", 74) + "^\n"},
		{"a hint of 76 letters stays on its line", Problem{Text: "wrong", Hint: strings.Repeat("é", 73) + " bb"}, "?: wrong\n    " + strings.Repeat("é", 73) + " bb\n"},
		{"a hint of more is broken at a blank", Problem{Text: "wrong", Hint: strings.Repeat("é", 73) + " bbb c"}, "?: wrong\n    " + strings.Repeat("é", 73) + "\n    bbb c\n"},
		{"a word of more stays whole", Problem{Text: "wrong", Hint: long + " b"}, "?: wrong\n    " + long + "\n    b\n"},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			if got := formatted(Problems{row.p}); got != row.want {
				t.Errorf("got\n%s\nwant\n%s", got, row.want)
			}
		})
	}
}

func TestProblemsAreSortedAndCapped(t *testing.T) {
	a, b := NewFile("a.yaml", nil), NewFile("b.yaml", nil)
	ps := Problems{
		{Pos: Pos{b, 1, 1}, Text: "5"}, {Pos: Pos{a, 2, 1}, Text: "3"}, {Pos: Pos{a, 1, 9}, Text: "2"},
		{Pos: Pos{a, 2, 1}, Text: "4"}, {Pos: a.Whole(), Text: "1"}, {Text: "0"},
	}
	ps.Sort()
	var order string
	for _, p := range ps {
		order += p.Text
	}
	if order != "012345" {
		t.Errorf("order %s, want by file, line, column, and as they came", order)
	}

	var many Problems
	for i := range MaxShown + 12 {
		many = append(many, Problem{Pos: Pos{a, i + 1, 1}, Text: "wrong"})
	}
	for name, got := range map[string]string{"Format": formatted(many), "Error": many.Error() + "\n"} {
		if !strings.HasSuffix(got, "\nand 12 more\n") || strings.Count(got, "wrong") != MaxShown {
			t.Errorf("%s of %d problems ends %q", name, len(many), got[len(got)-30:])
		}
	}
}

func TestProblemsAreAnErrorUnlessEmpty(t *testing.T) {
	if err := (Problems{}).Err(); err != nil {
		t.Errorf("no problems gave %v", err)
	}
	err := fmt.Errorf("loading: %w", Problems{{Text: "wrong"}}.Err())
	var ps Problems
	if !errors.As(err, &ps) || len(ps) != 1 {
		t.Errorf("%v does not unwrap to its problems", err)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"valve_duty", "idle_speed", "co", "co2", "hc", "engine_warm", "leak-found", "o2", "Ünder", "warm-air-flap-stuck-hot", "trim_fade_hot", "trim_fade_cold"}
	distinct := reasons(t)
	for _, row := range []struct{ reason, name, want string }{
		{"a letter too many", "valve_dutty", "valve_duty"},
		{"a letter missing", "valve_dut", "valve_duty"},
		{"another letter", "valve_dudy", "valve_duty"},
		{"two letters swapped", "vlave_duty", "valve_duty"},
		{"capitals", "Valve_Duty", "valve_duty"},
		{"a dash for an underscore, and the other way", "leak_found", "leak-found"},
		{"a blank", "idle speed", "idle_speed"},
		{"three slips in a long name", "eggine_wramn", "engine_warm"},
		{"letters of several bytes", "ünderr", "Ünder"},
		{"a short name allows one slip", "c0", "co"},
		{"the first of several equally near", "o3", "o2"},
		{"a short name far from all", "xy", ""},
		{"a long name far from all", "timing_late", ""},
		{"more than three slips, however long", "enginee_warrmms", ""},
		{"the first words of one name", "warm_air_flap", "warm-air-flap-stuck-hot"},
		{"a slip goes before first words", "idle_spee", "idle_speed"},
		{"part of a word is not a first word", "warm-air-flap-st", ""},
		{"the first words of two names", "trim_fade", ""},
		{"the last words of a name", "stuck-hot", ""},
		{"no name", "", ""},
		{"the name itself is no correction", "hc", ""},
		{"a hostile name", strings.Repeat("a", 1000), ""},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			if got := Nearest(row.name, known); got != row.want {
				t.Errorf("Nearest(%q) is %q, want %q", row.name, got, row.want)
			}
		})
	}
}

// The reference is the textbook definition by recursion.
func TestDistance(t *testing.T) {
	var slow func(a, b string) int
	slow = func(a, b string) int {
		if a == "" || b == "" {
			return len(a) + len(b)
		}
		n, m := len(a), len(b)
		d := min(slow(a[:n-1], b)+1, slow(a, b[:m-1])+1, slow(a[:n-1], b[:m-1])+map[bool]int{true: 0, false: 1}[a[n-1] == b[m-1]])
		if n > 1 && m > 1 && a[n-1] == b[m-2] && a[n-2] == b[m-1] {
			d = min(d, slow(a[:n-2], b[:m-2])+1)
		}
		return d
	}
	words := []string{"", "a", "b", "ab", "ba", "abc", "acb", "cab", "abcd", "abdc", "badc", "dcba", "aabb", "abab"}
	for _, a := range words {
		for _, b := range words {
			for limit := range 6 {
				if got, want := distance([]rune(a), []rune(b), limit), min(slow(a, b), limit); got != want {
					t.Errorf("distance(%q, %q, %d) is %d, want %d", a, b, limit, got, want)
				}
			}
		}
	}
}

// Law: PosAt and offset are each other's inverse on every byte that begins a character, line breaks left out.
func TestPlacesAndOffsets(t *testing.T) {
	for _, text := range []string{"", "a", "a\nb", "ä\r\n\nöx\n", "\n\n", "😀a\nb"} {
		f := NewFile("f", []byte(text))
		for i, r := range text {
			if r == '\r' || r == '\n' {
				continue
			}
			p := f.PosAt(i)
			if back := p.Offset(); back != i {
				t.Errorf("%q: %d is %d:%d is %d", text, i, p.Line, p.Column, back)
			}
		}
	}
}
