package main

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestPictureOfDocs holds the picture in docs/showing.md to the network: what it
// draws is compared, and not how, because versions of Graphviz differ in that.
// With -update it is drawn anew, where Graphviz is installed.
func TestPictureOfDocs(t *testing.T) {
	const name = "../../docs/regulator-low.svg"
	dot := graphOf(t, "--pack", "starting-and-charging", "regulator-low")
	if _, err := exec.LookPath("dot"); *update && err == nil {
		if err := os.WriteFile(name, draw(t, dot), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	picture, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	titles, texts := partsOf(t, string(picture))
	want := readDOT(t, dot)
	var nodes, edges []string
	for node, attributes := range want.nodes {
		nodes = append(nodes, node)
		for _, text := range textOf(t, attributes["label"]) {
			if !slices.Contains(texts, text) {
				t.Errorf("%q of %s is not in the picture; run go test ./cmd/culprit -update", text, node)
			}
		}
	}
	for _, e := range want.edges {
		from, to, _ := strings.Cut(e, " -> ")
		edges = append(edges, portless(from)+"->"+portless(to))
	}
	slices.Sort(nodes)
	slices.Sort(edges)
	if diff := cmp.Diff(nodes, titles["node"]); diff != "" {
		t.Errorf("nodes (-network +picture):\n%s", diff)
	}
	if diff := cmp.Diff(edges, titles["edge"]); diff != "" {
		t.Errorf("edges (-network +picture):\n%s", diff)
	}
}

// portless takes a state off the name of a condition.
func portless(name string) string {
	name, _, _ = strings.Cut(name, ".")
	return name
}

// partsOf reads a picture of Graphviz: the titles of what it draws by class,
// edges without the ports at their ends, and all its texts.
func partsOf(t *testing.T, svg string) (titles map[string][]string, texts []string) {
	t.Helper()
	titles = map[string][]string{}
	class, inside := "", ""
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			inside = x.Name.Local
			for _, a := range x.Attr {
				if x.Name.Local == "g" && a.Name.Local == "class" {
					class = a.Value
				}
			}
		case xml.EndElement:
			inside = ""
		case xml.CharData:
			switch inside {
			case "title":
				from, to, _ := strings.Cut(string(x), "->")
				from, _, _ = strings.Cut(from, ":")
				to, _, _ = strings.Cut(to, ":")
				titles[class] = append(titles[class], strings.TrimSuffix(from+"->"+to, "->"))
			case "text":
				texts = append(texts, strings.ReplaceAll(string(x), "\u00a0", " "))
			}
		}
	}
	for _, each := range titles {
		slices.Sort(each)
	}
	return titles, texts
}
