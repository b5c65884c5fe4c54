//go:build unix

package belief

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// The side-by-side run of testdata/side-by-side: its script calls the steps, each
// of which works in one folder.
var (
	besideDir  = flag.String("beside", "", "folder of a side-by-side run")
	besideStep = flag.String("step", "", "step of a side-by-side run: write, ours, diagram or print")
	besideCase = flag.Int("network", 0, "network of that step")
)

// answer is what one library says of one network, and how long it takes in
// seconds: Prepare is what it does once for a network, the others one query.
type answer struct {
	Library, File      string
	Prepare, CPU, Wall float64
	Queries            int
	Faults             []float64
}

func besideDraw(k int) (Model, Evidence) {
	r := rand.New(rand.NewPCG(7, uint64(k)))
	m := thirty(r)
	return m, seeing(r, &m, 12, 20, 0)
}

func TestSideBySide(t *testing.T) {
	if *besideDir == "" {
		t.Skip("takes other libraries, which testdata/side-by-side/run installs")
	}
	switch *besideStep {
	case "write":
		m, e := besideDraw(*besideCase)
		if err := os.WriteFile(filepath.Join(*besideDir, fmt.Sprintf("%d.net", *besideCase)), []byte(plain(m, e)), 0o644); err != nil {
			t.Fatal(err)
		}
	case "ours":
		besideSolve(t, "culprit, new evidence each time", func(m Model, e Evidence) (prepare, query func() []float64) {
			n := must(t, m)
			var p Posterior
			return func() []float64 { must(t, m); return nil },
				func() []float64 { n.orders.all = nil; return posteriorInto(t, n, e, &p).Faults }
		})
		besideSolve(t, "culprit, evidence on findings met before", func(m Model, e Evidence) (prepare, query func() []float64) {
			n := must(t, m)
			var p Posterior
			return func() []float64 { must(t, m); return nil }, func() []float64 { return posteriorInto(t, n, e, &p).Faults }
		})
	case "diagram":
		besideSolve(t, "rudd, decision diagram, Go", func(m Model, e Evidence) (prepare, query func() []float64) {
			return func() []float64 { return nil }, func() []float64 { return byDiagram(t, m, e) }
		})
	case "print":
		besidePrint(t)
	default:
		t.Fatalf("no step %q", *besideStep)
	}
}

func posteriorInto(t *testing.T, n *Network, e Evidence, p *Posterior) *Posterior {
	if err := n.Posterior(e, p); err != nil {
		t.Fatal(err)
	}
	return p
}

// plain writes a network of two-valued nodes as README.md says. What was not seen is
// left out; it has no bearing. An OR of many causes is a chain of ORs of two, since its
// table would have 2^18 rows.
func plain(m Model, e Evidence) string {
	var nodes []string
	node := func(parents []int, p func(row int) float64) int {
		var text strings.Builder
		fmt.Fprint(&text, len(parents))
		for _, x := range parents {
			fmt.Fprint(&text, " ", x)
		}
		for row := range 1 << len(parents) {
			fmt.Fprint(&text, " ", p(row))
		}
		nodes = append(nodes, text.String())
		return len(nodes) - 1
	}
	// or writes a leaky noisy-OR as one table, and returns its node.
	or := func(leak float64, parents []int, strengths []float64) int {
		return node(parents, func(row int) float64 {
			off := 1 - leak
			for k, s := range strengths {
				if row>>k&1 == 1 {
					off *= (1 - s) / (1 - leak)
				}
			}
			return 1 - off
		})
	}
	asked := make([]string, len(m.Faults))
	conditions := make([]int, len(m.Conditions))
	// A cause stands right before what it adds to each condition, as far as is
	// possible: libraries whose order of elimination starts from the order of nodes
	// then find a good one.
	for c, cond := range m.Conditions {
		conditions[c] = node(nil, func(int) float64 { return cond.Leaks[0] })
	}
	for f, fault := range m.Faults {
		cause := node(nil, func(int) float64 { return fault.Prior })
		asked[f] = fmt.Sprint(cause)
		for _, l := range m.Links {
			if l.Fault == f {
				leak := m.Conditions[l.Condition].Leaks[0]
				alone := (l.Strength - leak) / (1 - leak)
				conditions[l.Condition] = node([]int{conditions[l.Condition], cause}, func(row int) float64 { return []float64{0, 1, alone, 1}[row] })
			}
		}
	}
	var seen []string
	for _, s := range e.Seen {
		o := m.Findings[s.Finding].Outcomes[0]
		var parents []int
		var strengths []float64
		for _, x := range o.States {
			parents, strengths = append(parents, conditions[x.Condition]), append(strengths, x.Strength)
		}
		seen = append(seen, fmt.Sprintf("%d %g", or(o.Leak, parents, strengths), s.Likelihood[0]))
	}
	return fmt.Sprintf("%d\n%s\n%d\n%s\n%d\n%s\n", len(nodes), strings.Join(nodes, "\n"), len(seen), strings.Join(seen, "\n"), len(asked), strings.Join(asked, " "))
}

// byDiagram builds the diagram of the evidence and counts its weighted models once
// for each fault.
func byDiagram(t *testing.T, m Model, e Evidence) []float64 {
	c, formula := newCounter(t, m, e)
	d := c.diagram(t, formula)
	total := c.count(d)
	out := make([]float64, len(m.Faults))
	for f := range out {
		out[f] = m.Faults[f].Prior
		if v := c.faults[f]; v >= 0 {
			c.weight[v] = 1
			out[f] *= c.count(d) / total
			c.weight[v] = m.Faults[f].Prior
		}
	}
	return out
}

// besideSolve measures a library of this language and adds its answers to a file.
func besideSolve(t *testing.T, library string, with func(Model, Evidence) (prepare, query func() []float64)) {
	out, err := os.OpenFile(filepath.Join(*besideDir, "go.jsonl"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	prepare, query := with(besideDraw(*besideCase))
	a := answer{Library: library, File: fmt.Sprintf("%d.net", *besideCase)}
	a.Prepare, _, _ = medianOf(prepare)
	a.CPU, a.Wall, a.Queries = medianOf(func() []float64 { a.Faults = query(); return a.Faults })
	line, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := fmt.Fprintf(out, "%s\n", line); err != nil {
		t.Fatal(err)
	}
}

// medianOf measures in lots that take some tens of milliseconds, since the clock of
// computing time is coarse, and returns seconds for one of the lot, and how many
// were measured.
func medianOf(do func() []float64) (cpu, wall float64, times int) {
	const atLeast, lots = 30 * time.Millisecond, 15
	start, lot := time.Now(), 0
	for lot == 0 || time.Since(start) < atLeast {
		do()
		lot++
	}
	var cpus, walls []float64
	for began := time.Now(); len(cpus) == 0 || len(cpus) < lots && time.Since(began) < 3*time.Second; {
		c, w := processorTime(), time.Now()
		for range lot {
			do()
		}
		cpus = append(cpus, (processorTime()-c).Seconds()/float64(lot))
		walls = append(walls, time.Since(w).Seconds()/float64(lot))
		times += lot
	}
	slices.Sort(cpus)
	slices.Sort(walls)
	return cpus[len(cpus)/2], walls[len(walls)/2], times
}

// besidePrint compares all posteriors with ours and prints a table for people.
func besidePrint(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(*besideDir, "*.jsonl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no answers in %q: %v", *besideDir, err)
	}
	type row struct {
		name               string
		prepare, cpu, wall []float64
		worst              float64
	}
	rows := map[string]*row{}
	for _, file := range files {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		lines := bufio.NewScanner(f)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			var a answer
			if err := json.Unmarshal(lines.Bytes(), &a); err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			var k int
			if _, err := fmt.Sscanf(filepath.Base(a.File), "%d.net", &k); err != nil {
				t.Fatalf("%s: %v", a.File, err)
			}
			r := rows[a.Library]
			if r == nil {
				r = &row{name: a.Library}
				rows[a.Library] = r
			}
			r.prepare, r.cpu, r.wall = append(r.prepare, a.Prepare), append(r.cpu, a.CPU), append(r.wall, a.Wall)
			m, e := besideDraw(k)
			want := posterior(t, must(t, m), e).Faults
			if len(a.Faults) != len(want) {
				t.Fatalf("%s, network %d: %d posteriors, want %d", a.Library, k, len(a.Faults), len(want))
			}
			for f := range want {
				r.worst = math.Max(r.worst, math.Abs(a.Faults[f]-want[f]))
				if !(math.Abs(a.Faults[f]-want[f]) <= 1e-9) {
					t.Errorf("%s, network %d, fault %d: %v, ours %v", a.Library, k, f, a.Faults[f], want[f])
				}
			}
		}
		if err := lines.Err(); err != nil {
			t.Fatal(err)
		}
	}
	var all []*row
	for _, r := range rows {
		slices.Sort(r.prepare)
		slices.Sort(r.cpu)
		slices.Sort(r.wall)
		all = append(all, r)
	}
	half := func(of []float64) float64 { return 1e3 * of[len(of)/2] }
	slices.SortFunc(all, func(a, b *row) int { return int(math.Copysign(1, half(a.cpu)-half(b.cpu))) })
	fmt.Printf("%-52s %8s %10s %10s %10s  %s\n", "milliseconds", "networks", "prepare", "query", "by clock", "differs")
	for _, r := range all {
		fmt.Printf("%-52s %8d %10.3f %10.4f %10.4f  %.0e\n", r.name, len(r.cpu), half(r.prepare), half(r.cpu), half(r.wall), r.worst)
	}
}
