package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

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
