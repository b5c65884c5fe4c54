package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/graph/formats/dot"
	"gonum.org/v1/gonum/graph/formats/dot/ast"
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
