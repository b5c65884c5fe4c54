package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/graph/formats/dot"
	"gonum.org/v1/gonum/graph/formats/dot/ast"

	"culprit/engine"
)

// drawn is what another reader of DOT, gonum's, finds in our output.
type drawn struct {
	nodes map[string]map[string]string // attributes by name
	edges []string                     // "from -> to", sorted; a state is "condition trim.adding"
}

func readDOT(t *testing.T, text string) drawn {
	t.Helper()
	file, err := dot.ParseString(text)
	if err != nil {
		t.Fatalf("gonum cannot read it: %v\n%s", err, text)
	}
	out := drawn{nodes: map[string]map[string]string{}}
	for _, stmt := range file.Graphs[0].Stmts {
		switch x := stmt.(type) {
		case *ast.NodeStmt:
			attributes := map[string]string{}
			for _, a := range x.Attrs {
				attributes[a.Key] = a.Val
			}
			name := unquote(t, x.Node.ID)
			if out.nodes[name] != nil {
				t.Errorf("the node %s stands there twice", name)
			}
			out.nodes[name] = attributes
		case *ast.EdgeStmt:
			out.edges = append(out.edges, end(t, x.From)+" -> "+end(t, x.To.Vertex))
		}
	}
	slices.Sort(out.edges)
	return out
}

func end(t *testing.T, v ast.Vertex) string {
	n, ok := v.(*ast.Node)
	if !ok {
		t.Fatalf("an edge ends at %T", v)
	}
	name := unquote(t, n.ID)
	if n.Port != nil && n.Port.ID != "" && strings.HasPrefix(name, "condition ") {
		name += "." + strings.TrimPrefix(unquote(t, n.Port.ID), "state-")
	}
	return name
}

// unquote undoes the quotes of DOT: there \" is a quote and nothing else is
// an escape, except in labels and tooltips.
func unquote(t *testing.T, s string) string {
	t.Helper()
	if !strings.HasPrefix(s, `"`) {
		return s
	}
	return strings.NewReplacer(`\\`, `\`, `\"`, `"`).Replace(s[1 : len(s)-1])
}

// graphOf runs show --graph, twice, because it has to say the same each time.
func graphOf(t *testing.T, args ...string) string {
	t.Helper()
	args = append([]string{"show", "--graph"}, args...)
	first := session(args)
	if again := session(args); again != first {
		t.Error("the same graph comes out otherwise the second time")
	}
	return first
}

// words of an HTML-like label; it has to be well-formed.
func textOf(t *testing.T, label string) []string {
	t.Helper()
	var out []string
	d := xml.NewDecoder(strings.NewReader("<L>" + strings.TrimSuffix(strings.TrimPrefix(label, "<"), ">") + "</L>"))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("a label is not well-formed: %v\n%s", err, label)
		}
		if text, ok := token.(xml.CharData); ok {
			out = append(out, strings.TrimSuffix(string(text), " *"))
		}
	}
}

func cardsOf(t *testing.T, p *engine.Pack, id, kind string) engine.Card {
	t.Helper()
	cards, err := p.Show(id)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(cards, func(c engine.Card) bool { return c.Kind == kind })
	return cards[i]
}

// TestGraphOfWholePack reads the whole network back with gonum and compares it
// with what the cards of the pack say.
func TestGraphOfWholePack(t *testing.T) {
	for _, name := range engine.ShippedPacks() {
		t.Run(name, func(t *testing.T) {
			p, err := engine.Open(engine.Sources{Pack: name})
			if err != nil {
				t.Fatal(err)
			}
			got := readDOT(t, graphOf(t, "--pack", name))
			var nodes, edges, rules []string
			inLabels := map[string]bool{}
			for node, attributes := range got.nodes {
				nodes = append(nodes, node)
				for _, text := range textOf(t, attributes["label"]) {
					inLabels[text] = true
				}
			}
			var want []string
			for _, c := range p.List() {
				switch c.Kind {
				case "fault":
					want = append(want, "fault "+c.ID)
					for _, l := range cardsOf(t, p, c.ID, "fault").Links {
						if l.Relation == "brings" {
							edges = append(edges, "fault "+c.ID+" -> condition "+l.ID)
						}
					}
				case "condition":
					want = append(want, "condition "+c.ID)
				case "rule":
					rules = append(rules, c.ID)
				}
			}
			slices.Sort(nodes)
			slices.Sort(want)
			slices.Sort(edges)
			if diff := cmp.Diff(want, nodes); diff != "" {
				t.Errorf("nodes (-pack +graph):\n%s", diff)
			}
			if diff := cmp.Diff(edges, got.edges); diff != "" {
				t.Errorf("edges (-pack +graph):\n%s", diff)
			}
			for _, r := range rules {
				if !inLabels[r] {
					t.Errorf("the rule %s is nowhere in the picture", r)
				}
			}
		})
	}
}

// TestGraphAroundFaults: around each fault stand its states, and the rules that
// its card leads to, with the readings that these name.
func TestGraphAroundFaults(t *testing.T) {
	p, err := engine.Open(engine.Sources{})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range p.Faults() {
		got := readDOT(t, graphOf(t, id))
		want := map[string]bool{"fault " + id: true}
		for _, l := range cardsOf(t, p, id, "fault").Links {
			switch {
			case l.Relation == "brings":
				condition, _, _ := strings.Cut(l.ID, ".")
				want["condition "+condition] = true
				if !slices.Contains(got.edges, "fault "+id+" -> condition "+l.ID) {
					t.Errorf("%s: no line to %s", id, l.ID)
				}
			case l.Relation == "is pointed at by":
				want["rule "+l.ID] = true
				if !slices.Contains(got.edges, "fault "+id+" -> rule "+l.ID) {
					t.Errorf("%s: no line to %s", id, l.ID)
				}
			case strings.HasPrefix(l.Relation, "shows through "):
				want["rule "+l.ID] = true
			}
		}
		for name := range got.nodes {
			if !want[name] && !strings.HasPrefix(name, "reading ") {
				t.Errorf("%s: what has %s to do with it?", id, name)
			}
			delete(want, name)
		}
		for name := range want {
			t.Errorf("%s: %s is missing", id, name)
		}
		for _, e := range got.edges {
			from, to, _ := strings.Cut(e, " -> ")
			for _, x := range []string{from, to} {
				if strings.HasPrefix(x, "condition ") {
					x, _, _ = strings.Cut(x, ".")
				}
				if got.nodes[x] == nil {
					t.Errorf("%s: a line ends at %s, which is not there", id, x)
				}
			}
		}
	}
}

const oddNames = `
readings:
  seen: {label: Seen, kind: yes/no}
conditions:
  state-of-n: {label: 'Half <b>bold & "quoted" \N \l', states: {n: north, w: west}, of_itself: {n: 0.01, w: 0.01}}
faults:
  graph:
    label: 'A \ and a " and <i>, -->'
    per_1000: 10
    brings: [{condition: state-of-n, state: n, how_often: 0.5, given: seen}, {condition: state-of-n, state: w, how_often: 0.5}]
rules:
  subgraph: {says: 'It says "x < y" & \G', when: seen, shows: {state-of-n.n: 0.9, graph: 0.5}, otherwise: 0.1, because: so}
`

// TestGraphEscapes: text of rule files comes through as text, whatever it holds,
// and ids that mean something in DOT mean nothing here.
func TestGraphEscapes(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(dir+"/rules.yaml", []byte(oddNames), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, ids := range [][]string{nil, {"graph"}, {"seen"}, {"state-of-n.w"}} {
		text := graphOf(t, append([]string{"--pack", dir}, ids...)...)
		got := readDOT(t, text)
		if tip := unquote(t, got.nodes["fault graph"]["tooltip"]); !slices.Equal(ids, []string{"seen"}) && tip != `A \ and a " and <i>, -->` {
			t.Errorf("%v: the label of the fault comes out as %s", ids, tip)
		}
		if label := strings.Join(textOf(t, got.nodes["condition state-of-n"]["label"]), " "); !strings.Contains(label, `Half <b>bold & "quoted" \N \l`) {
			t.Errorf("%v: the label of the condition comes out as %s", ids, label)
		}
		draw(t, text)
	}
}

// draw renders with Graphviz, where it is installed, and refuses any warning.
func draw(t *testing.T, text string) []byte {
	t.Helper()
	path, err := exec.LookPath("dot")
	if err != nil {
		t.Log("left out: dot of Graphviz is not installed")
		return nil
	}
	var picture, warnings bytes.Buffer
	c := exec.Command(path, "-Tsvg")
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(text), &picture, &warnings
	if err := c.Run(); err != nil || warnings.Len() > 0 {
		t.Fatalf("dot: %v\n%s", err, warnings.String())
	}
	return picture.Bytes()
}

// TestGraphIsDrawn lets Graphviz draw every pack, and the neighbourhood of every fourth
// fault, without a warning and with every name in the picture.
func TestGraphIsDrawn(t *testing.T) {
	if _, err := exec.LookPath("dot"); err != nil {
		t.Skip("dot of Graphviz is not installed")
	}
	for _, name := range engine.ShippedPacks() {
		p, err := engine.Open(engine.Sources{Pack: name})
		if err != nil {
			t.Fatal(err)
		}
		picture := string(draw(t, graphOf(t, "--pack", name)))
		for _, c := range p.List() {
			switch c.Kind {
			case "fault", "condition", "rule":
				if !strings.Contains(picture, ">"+strings.ReplaceAll(c.ID, "-", "&#45;")) {
					t.Errorf("%s: %s %s is not in the picture", name, c.Kind, c.ID)
				}
			}
		}
		for i, id := range p.Faults() {
			if i%4 == 0 {
				draw(t, graphOf(t, "--pack", name, id))
			}
		}
	}
}

// TestGraphColours: lines and free letters stand out from a white and from a dark
// page by 3 to 1 at least, letters in boxes by 7 to 1 (contrast as WCAG 2.2 defines
// it, and its levels for graphics and for enhanced text; from memory).
func TestGraphColours(t *testing.T) {
	const white, dark = "#ffffff", "#1e1e1e"
	for _, line := range append(slices.Clone(threads), beside) {
		for _, page := range []string{white, dark} {
			if c := contrast(t, line, page); c < 3 {
				t.Errorf("%s on %s: %.2f to 1", line, page, c)
			}
		}
	}
	for _, paper := range []string{faultPaper, statePaper, titlePaper, rulePaper} {
		if c := contrast(t, ink, paper); c < 7 {
			t.Errorf("%s on %s: %.2f to 1", ink, paper, c)
		}
	}
	if c := contrast(t, white, "#000000"); math.Abs(c-21) > 1e-9 { // 1.05 / 0.05
		t.Errorf("white on black: %v", c)
	}
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(colour[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
