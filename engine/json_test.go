package engine

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var update = flag.Bool("update", false, "write the golden verdict and the example of docs/json.md anew; look at the difference before you commit it")

const contract = "../docs/json.md"

// documented reads the tables of docs/json.md: by heading, what is said of each
// key under "there" ("" where a table does not say).
func documented(t *testing.T) map[string]map[string]string {
	t.Helper()
	text, err := os.ReadFile(contract)
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile("^\\| `([a-z_0-9]+)` \\| [^|]+ \\|(?: (always|if any) \\|)? [^|]+ \\|$")
	tables := map[string]map[string]string{}
	heading := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		if h, ok := strings.CutPrefix(line, "### "); ok {
			heading = h
			tables[heading] = map[string]string{}
		} else if m := row.FindStringSubmatch(line); m != nil {
			if _, twice := tables[heading][m[1]]; twice {
				t.Errorf("%s: %s stands there twice", heading, m[1])
			}
			tables[heading][m[1]] = m[2]
		} else if strings.HasPrefix(line, "| `") && heading != "readings" {
			t.Errorf("a row that is none: %s", line)
		}
	}
	return tables
}

// TestContract: docs/json.md has every key of the verdict and of the job, says
// of each whether it is always there, and has no other.
func TestContract(t *testing.T) {
	docs := documented(t)
	used := map[string]bool{"readings": true} // the table of forms
	compare := func(heading string, want map[string]string) {
		used[heading] = true
		if diff := cmp.Diff(want, docs[heading]); diff != "" {
			t.Errorf("%s (-program +docs):\n%s", heading, diff)
		}
	}
	var walk func(x reflect.Type)
	walk = func(x reflect.Type) {
		for x.Kind() == reflect.Pointer || x.Kind() == reflect.Slice {
			x = x.Elem()
		}
		heading := strings.ToLower(x.Name())
		if heading == "setup" {
			heading = "set-up"
		}
		if x.Kind() != reflect.Struct || used[heading] || x == reflect.TypeFor[Next]() { // which has a page of its own
			return
		}
		want := map[string]string{}
		for f := range x.Fields() {
			if f.Anonymous {
				continue // its keys are told under its own heading
			}
			name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "" {
				t.Errorf("%s.%s has no JSON name", x.Name(), f.Name)
			}
			want[name] = map[bool]string{true: "if any", false: "always"}[option == "omitempty"]
		}
		compare(heading, want)
		for f := range x.Fields() {
			walk(f.Type)
		}
	}
	for _, record := range []reflect.Type{reflect.TypeFor[Verdict](), reflect.TypeFor[FullRecord](), reflect.TypeFor[Brief](), reflect.TypeFor[ErrorRecord]()} {
		walk(record)
	}
	for heading, keys := range map[string][]string{"job": jobKeys, "set of readings": setKeys, "figures": figureKeys, "reading object": readingKeys} {
		want := map[string]string{}
		for _, k := range keys {
			want[k] = ""
		}
		compare(heading, want)
	}
	for heading := range docs {
		if !used[heading] {
			t.Errorf("the docs tell of %q, which is nowhere", heading)
		}
	}
	text, err := os.ReadFile(contract)
	if err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]string{
		"the version": fmt.Sprintf("It is **%d**", VerdictVersion), "the size of a job": fmt.Sprintf("at most %d MiB", MaxJobBytes>>20),
		"the versions of records": fmt.Sprintf("brief records (**%d**) and error records (**%d**)", BriefVersion, ErrorVersion),
		"the keys of a job":       fmt.Sprintf("at most %d keys in an object", maxJobKeys), "the problems of a record": fmt.Sprintf("at most %d, in the order", mostProblems),
		"the values of a job": fmt.Sprintf("at most %d values", maxJobValues), "the depth of a job": fmt.Sprintf("at most %d levels", maxJobDepth),
		"the largest number": fmt.Sprintf("above %s in size", strings.Replace(strconv.FormatFloat(huge, 'g', -1, 64), "e+", "e", 1)),
		"status":             fmt.Sprintf("`%s`, `%s`, `%s` (something is missing) or `%s`", Holds, DoesNotHold, CannotTell, DoesNotApply),
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s: the docs do not say %q", what, want)
		}
	}
}

// TestKindsInDocs: every kind of warning and of error is told of, in its order.
func TestKindsInDocs(t *testing.T) {
	text, err := os.ReadFile(contract)
	if err != nil {
		t.Fatal(err)
	}
	for _, kinds := range [][]string{{WarnSetUp, WarnWaiting, WarnDoubtful, WarnConflict}, {LineBroken, LineTooLong, LineRefused, LineImpossible, LineTooWide, LineProgram}} {
		row := "(?m)^\\| `kind` \\| text \\| always \\| "
		for i, k := range kinds {
			row += map[bool]string{true: "", false: "[^`]*; "}[i == 0] + "`" + k + "`: "
		}
		if !regexp.MustCompile(row + "[^`]*$").Match(text) {
			t.Errorf("no row tells of %q", kinds)
		}
	}
}

// TestListsAreNeverNull: a list that is always there is [] and not null,
// whatever the job.
func TestListsAreNeverNull(t *testing.T) {
	for _, p := range []*Pack{shipped(t), tiny(t, "readings: {a: {label: A, kind: yes/no}}\nfaults: {f: {label: F, per_1000: 1}}\n")} {
		for _, o := range []Options{{}, {Most: -1}} {
			v, err := p.Diagnose(t.Context(), job(nil), o)
			if err != nil {
				t.Fatal(err)
			}
			text, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			var all any
			if err := json.Unmarshal(text, &all); err != nil {
				t.Fatal(err)
			}
			var walk func(path string, x any)
			walk = func(path string, x any) {
				switch x := x.(type) {
				case nil:
					if !strings.HasSuffix(path, ".log_odds") && !strings.HasSuffix(path, ".decibans") {
						t.Errorf("%s is null", path)
					}
				case map[string]any:
					for _, k := range slices.Sorted(maps.Keys(x)) {
						walk(path+"."+k, x[k])
					}
				case []any:
					for _, item := range x {
						walk(path+"[]", item)
					}
				}
			}
			walk("verdict", all)
		}
	}
}

// TestGoldenVerdict holds the whole verdict of one shipped job. It changes with
// the rules; see -update.
func TestGoldenVerdict(t *testing.T) {
	const golden = "testdata/whistle-at-idle.verdict.json"
	text, err := os.ReadFile("../cases/whistle-at-idle.json")
	if err != nil {
		t.Fatal(err)
	}
	v, err := shipped(t).Diagnose(t.Context(), parse(t, string(text)), Options{Most: 1})
	if err != nil {
		t.Fatal(formatted(err))
	}
	got, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(golden, byLines(t, v), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	var a, b any
	if err := json.Unmarshal(want, &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(got, &b); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b, cmpopts.EquateApprox(1e-9, 1e-12)); diff != "" {
		t.Errorf("the verdict differs; is it the rules that changed? go test ./engine -update (-want +got):\n%s", diff)
	}
}

// byLines writes a verdict as JSON with every entry of its lists on a line.
func byLines(t *testing.T, v *Verdict) []byte {
	var out bytes.Buffer
	write := func(x any) {
		text, err := json.Marshal(x)
		if err != nil {
			t.Fatal(err)
		}
		out.Write(text)
	}
	value := reflect.ValueOf(*v)
	for i, f := range reflect.VisibleFields(value.Type()) {
		name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		x := value.Field(i)
		if option == "omitempty" && x.IsZero() {
			continue
		}
		out.WriteString(map[bool]string{true: "{", false: ",\n"}[i == 0])
		write(name)
		out.WriteString(": ")
		if x.Kind() != reflect.Slice || x.Len() == 0 {
			write(x.Interface())
			continue
		}
		for k := range x.Len() {
			out.WriteString(map[bool]string{true: "[\n ", false: ",\n "}[k == 0])
			write(x.Index(k).Interface())
		}
		out.WriteString("\n]")
	}
	out.WriteString("}\n")
	return out.Bytes()
}

// TestExampleInDocs holds the example of docs/json.md to what comes out.
func TestExampleInDocs(t *testing.T) {
	text, err := os.ReadFile(contract)
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile("(?s)The job\n\n```json\n(.*?)```.*-update -->\n```json\n(.*?)```")
	at := block.FindSubmatchIndex(text)
	if at == nil {
		t.Fatal("no example")
	}
	v, err := shipped(t).Diagnose(t.Context(), parse(t, string(text[at[2]:at[3]])), Options{Most: 1})
	if err != nil {
		t.Fatal(formatted(err))
	}
	shorten(reflect.ValueOf(v))
	var got bytes.Buffer
	e := json.NewEncoder(&got)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		t.Fatal(err)
	}
	if *update {
		text = slices.Concat(text[:at[4]], got.Bytes(), text[at[5]:])
		if err := os.WriteFile(contract, text, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(string(text[at[4]:at[5]]), got.String()); diff != "" {
		t.Errorf("the example differs; go test ./engine -update (-docs +program):\n%s", diff)
	}
}

// shorten cuts every list to one entry and every number to four digits.
func shorten(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			shorten(v.Elem())
		}
	case reflect.Struct:
		for _, f := range v.Fields() {
			shorten(f)
		}
	case reflect.Slice:
		if v.Len() > 1 {
			v.Set(v.Slice(0, 1))
		}
		for i := range v.Len() {
			shorten(v.Index(i))
		}
	case reflect.Float64:
		if x := v.Float(); x != 0 {
			scale := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(x))))
			v.SetFloat(math.Round(x*scale) / scale)
		}
	}
}
