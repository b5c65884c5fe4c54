package main

import (
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var showCommand = &command{
	name:    "show",
	summary: "list what the pack holds, or tell all that it knows of one thing",
	usage:   "show [OPTIONS] [ID…]",
	about: `
Prints what the pack says of each id and what hangs together with it: of a fault
what would raise and lower it and what is hardest to tell from it, and which
cases try it; without an id it lists everything the pack holds. A state of a
condition is named CONDITION.STATE. --graph writes the network instead, in the
DOT language of Graphviz; with ids only what they are linked to. --schema prints
what an editor has to know of rule files, case files or jobs.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o showOptions
		o.packOptions.add(flags)
		o.format = formatFlag(flags)
		flags.BoolVar(&o.full, "full", false, "cut no list short")
		flags.StringArrayVar(&o.cases, "cases", nil, "look in the cases of this `FILE` or folder, instead of those that come with the pack (repeatable)")
		flags.BoolVar(&o.graph, "graph", false, "write the network as Graphviz DOT")
		return withSchema(flags, o.run)
	},
}

type showOptions struct {
	packOptions
	format *string
	full   bool
	cases  []string
	graph  bool
}

// shownCard is a card with what the cases have to do with it.
type shownCard struct {
	engine.Card
	Cases *exercised `json:"cases,omitempty"`
}

func (o *showOptions) run(s *stdio, args []string) error {
	format, err := checkFormat(*o.format, "show")
	if err != nil {
		return err
	}
	if o.graph && (o.full || len(o.cases) > 0) {
		return usageError{"--graph draws the rules", "leave out --full and --cases", "show"}
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	switch {
	case o.graph:
		return graph(s, pack, args, format)
	case len(args) == 0:
		return list(s, pack, format)
	}
	known, err := o.knownCases(pack)
	if err != nil {
		return err
	}
	cards := []shownCard{}
	for _, id := range args {
		found, err := pack.Show(id)
		if err != nil {
			return unknownID(err)
		}
		for _, c := range found {
			cards = append(cards, shownCard{c, known.exercise(c)})
		}
	}
	if format == "json" {
		return writeJSON(s.out, cards)
	}
	p := s.page()
	for i, c := range cards {
		if i > 0 {
			p.blank()
		}
		(&cardText{p, o.full}).render(c)
	}
	return nil
}

// unknownID puts the nearest id on a line of its own.
func unknownID(err error) error {
	x, ok := errors.AsType[*engine.UnknownID](err)
	if !ok {
		return err
	}
	hint := "culprit show lists every id"
	if x.Near != "" {
		hint = fmt.Sprintf("did you mean %q?", x.Near)
	}
	return usageError{fmt.Sprintf("%v: %q", engine.ErrNoID, x.ID), hint, ""}
}

// list prints everything in the pack, one line each.
func list(s *stdio, pack *engine.Pack, format string) error {
	all := pack.List()
	if format == "json" {
		return writeJSON(s.out, all)
	}
	p := s.page()
	widest := 0
	for _, c := range all {
		widest = max(widest, len(c.ID))
	}
	for i, kind := range engine.Kinds {
		var ofKind []engine.Card
		for _, c := range all {
			if c.Kind == kind {
				ofKind = append(ofKind, c)
			}
		}
		if len(ofKind) == 0 {
			continue
		}
		if i > 0 {
			p.blank()
		}
		p.styledLine("", "", 0, bold, fmt.Sprintf("%s (%d)", kind, len(ofKind)))
		for _, c := range ofKind {
			fmt.Fprintf(p.w, "  %s  %s\n", pad(c.ID, widest), cut(c.Label, max(20, p.width-widest-4)))
		}
	}
	return nil
}
