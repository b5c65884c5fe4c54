package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"culprit/engine"
)

// graph writes the network, or the part around some ids, in the DOT language
// (graphviz.org/doc/info/lang.html) or as JSON.
func graph(s *stdio, pack *engine.Pack, ids []string, format string) error {
	g, err := pack.Graph(ids...)
	if err != nil {
		return unknownID(err)
	}
	if format == "json" {
		return writeJSON(s.out, g)
	}
	d := &dotText{w: s.out, g: g}
	d.write()
	return nil
}

// Colours. Boxes are pale with dark letters and lie on no ground of their own, so
// a picture goes on a light page and on a dark one; lines and the letters beside
// them are of middle lightness for the same reason. Nothing is told by colour
// alone: kinds differ in shape, strength is width, and a given is a dashed line.
const (
	ink         = "#1c1c1c" // letters in boxes
	beside      = "#767676" // letters outside of boxes
	faultPaper  = "#f5ecdc"
	statePaper  = "#e2ebf0"
	titlePaper  = "#c9d8e0"
	rulePaper   = "#eaf0e2"
	askedBorder = "3"
)

// threads are the colours of lines, one state after the other.
var threads = []string{"#2b7bba", "#b5651d", "#3a8f5c", "#a0559b", "#80803a", "#c0504d", "#5f7f8f"}

// dotText writes one graph. The whole pack is drawn with each rule in the box of
// the states or faults that it shows, because a box for each and every rule makes
// a sheet that nobody can follow; a part has a box for each rule and reading.
type dotText struct {
	w io.Writer
	g *engine.Graph
}

func (d *dotText) whole() bool { return len(d.g.Asked) == 0 }

func (d *dotText) printf(format string, args ...any) { fmt.Fprintf(d.w, format, args...) }

func (d *dotText) write() {
	d.printf("digraph culprit {\n")
	d.printf("\tgraph [rankdir=LR, bgcolor=transparent, outputorder=edgesfirst, nodesep=%s, ranksep=%s, fontname=%s, fontsize=16, fontcolor=%s, labelloc=t, labeljust=l, label=%s];\n",
		map[bool]string{true: "0.12", false: "0.15"}[d.whole()], map[bool]string{true: "6", false: "1.4"}[d.whole()],
		quote(font), quote(beside), d.title())
	d.printf("\tnode [shape=box, margin=\"0.1,0.05\", fontname=%s, fontsize=11, color=%s, fontcolor=%s];\n", quote(font), quote(beside), quote(ink))
	d.printf("\tedge [fontname=%s, fontsize=9, fontcolor=%s, color=%s, arrowsize=0.5];\n", quote(font), quote(beside), quote(beside))
	d.faults()
	d.conditions()
	if !d.whole() {
		d.rules()
		d.readings()
	}
	d.columns()
	d.links()
	d.printf("}\n")
}

const font = "Helvetica,Arial,sans-serif"

func (d *dotText) title() string {
	what := "the whole pack"
	if !d.whole() {
		what = "around " + strings.Join(d.g.Asked, ", ")
	}
	told := []string{
		fmt.Sprintf("%s, %s: faults bring states of conditions, rules show them", d.g.Pack, what),
		"the wider a line, the more often; dashed: only under a given",
	}
	if d.whole() {
		told = append(told, "beside a rule: how often it holds when this is so, and otherwise; * shows other things too")
	} else {
		told = append(told, "at a line: how often; to a rule: when this is so, and otherwise")
	}
	return label(`\l`, told...)
}

// faults are boxes; in the whole pack with the rules that point at each.
func (d *dotText) faults() {
	for _, f := range d.g.Faults {
		rows := d.ruleRows(func(s engine.GraphShown) bool { return s.Fault == f.Fault })
		border := "1"
		if f.Asked {
			border = askedBorder
		}
		name := fmt.Sprintf(`<TD ALIGN="LEFT" VALIGN="TOP" ROWSPAN="%d">%s</TD>`, max(1, len(rows)), bolded(f.Fault)+lines(f.Label, 30))
		d.table("fault "+f.Fault, faultPaper, border, f.Label, beforeRows(name, rows))
	}
}

// beforeRows puts a cell that spans rows in front of the first, or alone.
func beforeRows(cell string, rows []string) string {
	if len(rows) == 0 {
		return "<TR>" + cell + "</TR>"
	}
	return strings.Replace(strings.Join(rows, ""), "<TR>", "<TR>"+cell, 1)
}

// conditions are boxes with a row for each state; in the whole pack with the
// rules that show it.
func (d *dotText) conditions() {
	for _, c := range d.g.Conditions {
		var b strings.Builder
		fmt.Fprintf(&b, `<TR><TD ALIGN="LEFT" COLSPAN="3" BGCOLOR="%s">%s%s</TD></TR>`, titlePaper, bolded(c.Condition), lines(c.Label, 44))
		for _, s := range c.States {
			rows := d.ruleRows(func(x engine.GraphShown) bool { return x.Condition == c.Condition && x.State == s.State })
			name := escape(s.State)
			if s.Asked {
				name = bolded(s.State)
			}
			state := fmt.Sprintf(`<TD ALIGN="LEFT" ROWSPAN="%d" PORT=%s>%s</TD>`, max(1, len(rows)), quote("state-"+s.State), name+lines(s.Label, 26))
			b.WriteString("<HR/>" + beforeRows(state, rows))
		}
		d.table("condition "+c.Condition, statePaper, "1", c.Label, b.String())
	}
}

// table writes a node that is a table.
func (d *dotText) table(name, paper, border, tip, rows string) {
	d.printf("\t%s [shape=plain, tooltip=%s, label=<<TABLE BORDER=\"%s\" CELLBORDER=\"0\" CELLSPACING=\"0\" CELLPADDING=\"3\" BGCOLOR=\"%s\" COLOR=\"%s\">%s</TABLE>>];\n",
		quote(name), quote(tip), border, paper, beside, rows)
}

// ruleRows are the rows of rules that show something, in the whole pack.
func (d *dotText) ruleRows(is func(engine.GraphShown) bool) []string {
	if !d.whole() {
		return nil
	}
	var rows []string
	for _, r := range d.g.Rules {
		i := slices.IndexFunc(r.Shows, is)
		if i < 0 {
			continue
		}
		name := escape(r.Rule)
		if len(r.Shows) > 1 {
			name += " *"
		}
		rows = append(rows, fmt.Sprintf(`<TR><TD ALIGN="LEFT"><FONT POINT-SIZE="9">%s</FONT></TD><TD ALIGN="RIGHT"><FONT POINT-SIZE="9">%v / %v</FONT></TD></TR>`,
			name, r.Shows[i].Strength, r.Otherwise))
	}
	return rows
}

// rules are rounded boxes.
func (d *dotText) rules() {
	for _, r := range d.g.Rules {
		width := "1"
		if r.Asked {
			width = askedBorder
		}
		d.printf("\t%s [style=\"rounded,filled\", fillcolor=%s, penwidth=%s, label=<%s%s<BR ALIGN=\"LEFT\"/>>];\n",
			quote("rule "+r.Rule), quote(rulePaper), width, bolded(r.Rule), lines(r.Says, 34))
	}
}

// readings stand without a box, because they are not part of the network: what
// they say becomes a rule that holds or not.
func (d *dotText) readings() {
	for _, x := range d.g.Readings {
		name := escape(x.Reading)
		if x.Asked {
			name = bolded(x.Reading)
		}
		d.printf("\t%s [shape=plaintext, fontcolor=%s, tooltip=%s, label=<%s>];\n", quote("reading "+x.Reading), quote(beside), quote(x.Label), name)
	}
}

// columns put what is of one kind under each other.
func (d *dotText) columns() {
	var faults, conditions, rules, readings []string
	for _, x := range d.g.Faults {
		faults = append(faults, "fault "+x.Fault)
	}
	for _, x := range d.g.Conditions {
		conditions = append(conditions, "condition "+x.Condition)
	}
	if !d.whole() {
		for _, x := range d.g.Rules {
			rules = append(rules, "rule "+x.Rule)
		}
		for _, x := range d.g.Readings {
			readings = append(readings, "reading "+x.Reading)
		}
	}
	for _, column := range [][]string{faults, conditions, rules, readings} {
		if len(column) == 0 {
			continue
		}
		d.printf("\t{ rank=same;")
		for _, name := range column {
			d.printf(" %s;", quote(name))
		}
		d.printf(" }\n")
	}
}

// links are the lines: from fault to state, and in a part also on to rules and
// the readings that they ask for.
func (d *dotText) links() {
	for _, f := range d.g.Faults {
		for _, l := range f.Brings {
			told, tip := []string{fmt.Sprint(l.Strength)}, fmt.Sprintf("%s brings %s.%s: %v", f.Fault, l.Condition, l.State, l.Strength)
			if l.Given != "" {
				told = append([]string{told[0] + ", given"}, wrap(l.Given, 24)...)
				tip += ", given " + l.Given
			}
			d.edge(quote("fault "+f.Fault)+":e", d.port(l.Condition, l.State)+":w", d.thread(l.Condition, l.State), l.Strength, l.Given != "", told, tip)
		}
	}
	if d.whole() {
		return
	}
	for _, r := range d.g.Rules {
		to := quote("rule " + r.Rule)
		for _, s := range r.Shows {
			from, colour, what := quote("fault "+s.Fault)+":e", beside, s.Fault
			if s.Condition != "" {
				from, colour, what = d.port(s.Condition, s.State)+":e", d.thread(s.Condition, s.State), s.Condition+"."+s.State
			}
			d.edge(from, to+":w", colour, s.Strength, false, []string{fmt.Sprintf("%v / %v", s.Strength, r.Otherwise)},
				fmt.Sprintf("%s shows %s: %v, otherwise %v", r.Rule, what, s.Strength, r.Otherwise))
		}
		for _, x := range r.Reads {
			d.printf("\t%s:e -> %s:w [style=dotted, arrowhead=none];\n", to, quote("reading "+x))
		}
	}
}

func (d *dotText) edge(from, to, colour string, strength float64, dashed bool, told []string, tip string) {
	style, text := "solid", ""
	if dashed {
		style = "dashed"
	}
	if !d.whole() {
		text = ", label=" + label(`\n`, told...)
	}
	d.printf("\t%s -> %s [color=%s, penwidth=%.2f, style=%s, tooltip=%s%s];\n", from, to, quote(colour), 0.4+2.4*strength, style, quote(tip), text)
}

func (d *dotText) port(condition, state string) string {
	return quote("condition "+condition) + ":" + quote("state-"+state)
}

// thread is the colour of the lines of a state; states beside each other differ.
func (d *dotText) thread(condition, state string) string {
	n := 0
	for _, c := range d.g.Conditions {
		for _, s := range c.States {
			if c.Condition == condition && s.State == state {
				return threads[n%len(threads)]
			}
			n++
		}
	}
	return beside
}
