package modelcar

import (
	"flag"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the tables of docs/model-car.md anew")

const pageFile = "../../docs/model-car.md"

// TestPageTables holds the tables of docs/model-car.md to the code.
func TestPageTables(t *testing.T) {
	text, err := os.ReadFile(pageFile)
	if err != nil {
		t.Fatal(err)
	}
	now := string(text)
	for _, table := range []struct{ name, text string }{
		{"parameters", parameterRows()}, {"faults", faultRows()}, {"looks", lookRows()}, {"complaints", complaintRows()},
	} {
		open, end := "<!-- "+table.name+" -->\n", "<!-- end of "+table.name+" -->"
		before, rest, ok := strings.Cut(now, open)
		_, after, both := strings.Cut(rest, end)
		if !ok || !both {
			t.Fatalf("the page has no place for %s", table.name)
		}
		now = before + open + table.text + end + after
	}
	if *update {
		if err := os.WriteFile(pageFile, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(now, string(text)); diff != "" {
		t.Errorf("%s differs from the code (-code +page); run go test ./cases/modelcar -update:\n%s", pageFile, diff)
	}
}

func figure(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func parameterRows() string {
	var b strings.Builder
	b.WriteString("| what | value | ± | unit | from |\n|---|---|---|---|---|\n")
	for i, p := range Parameters {
		value := figure(p.Value)
		for _, d := range Designs {
			if own, ok := d.own[pid(i)]; ok {
				value += fmt.Sprintf("; %s: %s", d.ID, figure(own))
			}
		}
		tolerance := ""
		if p.Tolerance > 0 {
			tolerance = figure(p.Tolerance)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", p.Name, value, tolerance, p.Unit, p.Source)
	}
	return b.String()
}

func faultRows() string {
	var b strings.Builder
	b.WriteString("| fault | its size is | at severity 1 |\n|---|---|---|\n")
	for _, k := range FaultKinds {
		full := figure(k.Full) + " " + k.Unit
		if k.Whole() {
			full = ""
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", k.ID, k.What, strings.TrimSpace(full))
	}
	return b.String()
}

func lookRows() string {
	var b strings.Builder
	b.WriteString("| reading | of a sound car | otherwise all the same, in 100 | with a fault, in 100 |\n|---|---|---|---|\n")
	for _, u := range Sound {
		is := "no"
		if u.Sound {
			is = "yes"
		}
		var by []string
		for _, l := range Looks {
			if l.Reading == u.Reading {
				from := ""
				if l.From < 1 {
					from = " from " + figure(l.From)
				}
				by = append(by, fmt.Sprintf("`%s` %s%s", l.Fault, figure(100*l.Often), from))
			}
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", u.Reading, is, figure(100*u.Otherwise), strings.Join(by, ", "))
	}
	return b.String()
}

func complaintRows() string {
	var b strings.Builder
	b.WriteString("| fault | complaints, by their weights |\n|---|---|\n")
	for _, k := range Complaints {
		var words []string
		for _, w := range k.Words {
			words = append(words, w.Word+" "+figure(w.Weight))
		}
		fmt.Fprintf(&b, "| `%s` | %s |\n", k.Fault, strings.Join(words, ", "))
	}
	return b.String()
}
