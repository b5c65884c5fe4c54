package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var showCommand = &command{
	name:    "show",
	summary: "tell what the pack knows of a reading, condition, fault, rule or check",
	usage:   "show [OPTIONS] [ID…]",
	about: `
Prints what the pack says of each id and what is linked to it; without an id it
lists everything the pack holds.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o packOptions
		o.add(flags)
		format := formatFlag(flags)
		return func(s *stdio, args []string) error {
			format, err := checkFormat(*format, "show")
			if err != nil {
				return err
			}
			pack, err := o.open()
			if err != nil {
				return err
			}
			if len(args) == 0 {
				return list(s, pack, format)
			}
			var cards []engine.Card
			for _, id := range args {
				found, err := pack.Show(id)
				if err != nil {
					return err
				}
				cards = append(cards, found...)
			}
			if format == "json" {
				return writeJSON(s.out, cards)
			}
			for i, c := range cards {
				if i > 0 {
					fmt.Fprintln(s.out)
				}
				renderCard(s.page(), c)
			}
			return nil
		}
	},
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

// renderCard prints one card: properties, then links by relation.
func renderCard(p *page, c engine.Card) {
	p.styledLine("", "", 0, bold, fmt.Sprintf("%s %s: %s", c.Kind, c.ID, c.Label))
	p.styledLine("", "", 2, faint, c.Where)
	if c.Doc != "" {
		p.line("", 2, c.Doc)
	}
	for _, f := range c.Facts {
		p.line("  "+f.Name, 20, f.Text)
	}
	relation := ""
	for _, l := range c.Links {
		if l.Relation != relation {
			relation = l.Relation
			p.line("", 2, relation)
		}
		text := l.ID
		if l.Text != "" {
			text += ": " + l.Text
		}
		p.line("", 6, text)
	}
}
