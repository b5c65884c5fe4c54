package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var proofreadCommand = &command{
	name:    "proofread",
	summary: "find what is wrong or wasted in rule files",
	usage:   "proofread [OPTIONS] [DIR…|FILE…]",
	about: `
Reads each folder as a pack of its own and reports what does not load, and what
loads and is still wrong or wasted, with its place and how to mend it. Without a
folder it reads the packs that come with the program; with --pack or --add, that
pack and what joins it. What is meant so can be excused in the file: excuse:
{KIND: reason}. --sway tells of a case, of those that come with the pack or of
the files named, how far each number of the rules would have to move before
another fault leads. Exit status: 0 nothing found, 1 something found, 2
something could not be read.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o proofreadOptions
		o.packOptions.add(flags)
		o.format = formatFlag(flags)
		flags.StringVar(&o.explain, "explain", "", "tell what this `KIND` of finding means, with an example")
		flags.StringVar(&o.sway, "sway", "", "tell what each number of the rules does to the lead of this `CASE`")
		flags.IntVar(&o.most, "most", 0, "with --sway, tell at most `N` numbers; not given, 10 as text and all as JSON")
		return func(s *stdio, args []string) error {
			o.named, o.limited = flags.Changed("pack"), flags.Changed("most")
			o.swaying = flags.Changed("sway")
			return o.run(s, args)
		}
	},
}

type proofreadOptions struct {
	packOptions
	format  *string
	explain string
	named   bool // --pack was given
	sway    string
	swaying bool // --sway was given
	most    int
	limited bool // --most was given
}

// proofreading is the JSON form of the findings; docs/json-trainers.md is its contract.
type proofreading struct {
	Version  int              `json:"version"`
	Packs    []string         `json:"packs"`
	Findings []engine.Finding `json:"findings"`
}

// proofreadingVersion is the version of the JSON form.
const proofreadingVersion = 1

func (o *proofreadOptions) run(s *stdio, args []string) error {
	format, err := checkFormat(*o.format, "proofread")
	if err != nil {
		return err
	}
	if o.explain != "" && o.swaying {
		return usageError{"--explain and --sway are two questions", "ask one at a time", "proofread"}
	}
	if o.explain != "" {
		return explainKind(s, o.explain, format)
	}
	switch {
	case o.limited && !o.swaying:
		return usageError{"--most is for --sway", "", "proofread"}
	case o.most < 0:
		return usageError{"--most takes a number from 0", "", "proofread"}
	case o.swaying:
		return o.tellSway(s, args, format)
	}
	if o.named && len(args) > 0 {
		return usageError{"a pack is named by --pack or as a folder, not both", "", "proofread"}
	}
	findings := []engine.Finding{}
	packs := o.packs(args)
	var advice []string
	for _, pack := range packs {
		found, err := engine.Proofread(engine.Sources{Pack: pack, Add: o.also})
		if err != nil {
			return err
		}
		findings = append(findings, found...)
		if base := addsTo(pack, found); base != "" && len(o.also) == 0 {
			advice = append(advice, fmt.Sprintf("most that is unknown here is in %s: try culprit proofread%s --add %s", base, packOption(base), pack))
		}
	}
	if format == "json" {
		err = writeJSON(s.out, proofreading{proofreadingVersion, packs, findings})
	} else {
		err = writeFindings(s, packs, findings)
		for _, line := range advice {
			fmt.Fprintln(s.out, line)
		}
	}
	if err == nil {
		err = status(findings)
	}
	return err
}

// packs are those that the arguments ask for.
func (o *proofreadOptions) packs(args []string) []string {
	switch {
	case len(args) > 0:
		return args
	case o.named || len(o.also) > 0:
		return []string{o.pack}
	}
	return engine.ShippedPacks()
}

// addsTo is the shipped pack that a folder seems to be meant to join, "" where there is none: with it most errors are gone.
func addsTo(folder string, found []engine.Finding) string {
	least, best := countErrors(found), ""
	if least == 0 || slices.Contains(engine.ShippedPacks(), folder) {
		return ""
	}
	least = (least + 1) / 2
	for _, base := range engine.ShippedPacks() {
		with, err := engine.Proofread(engine.Sources{Pack: base, Add: []string{folder}})
		if n := countErrors(with); err == nil && n < least {
			least, best = n, base
		}
	}
	return best
}

// packOption names a pack that is not the one taken anyway.
func packOption(pack string) string {
	if pack == engine.DefaultPack {
		return ""
	}
	return " --pack " + pack
}

// countErrors counts what keeps a pack from loading.
func countErrors(findings []engine.Finding) int {
	n := 0
	for _, f := range findings {
		if f.Severity == "error" {
			n++
		}
	}
	return n
}

func writeFindings(s *stdio, packs []string, findings []engine.Finding) error {
	if len(findings) == 0 {
		_, err := fmt.Fprintf(s.out, "nothing to mend in %s\n", strings.Join(packs, ", "))
		return err
	}
	if err := engine.WriteFindings(s.out, findings); err != nil {
		return err
	}
	what := "1 finding"
	if n := len(findings); n > 1 {
		what = fmt.Sprintf("%d findings", n)
	}
	_, err := fmt.Fprintf(s.out, "%s; culprit proofread --explain KIND tells more\n", what)
	return err
}

// status is what the findings mean for the exit status.
func status(findings []engine.Finding) error {
	for _, f := range findings {
		if f.Unread() {
			return exitStatus(exitBadInput)
		}
	}
	if len(findings) > 0 {
		return exitStatus(exitNotInOrder)
	}
	return nil
}

// explainKind tells the long story of a kind of finding.
func explainKind(s *stdio, id, format string) error {
	var ids []string
	for _, k := range engine.FindingKinds() {
		if k.ID != id {
			ids = append(ids, k.ID)
			continue
		}
		if format == "json" {
			return writeJSON(s.out, k)
		}
		p := s.page()
		p.styledLine("", "", 0, bold, k.ID+": "+k.Title)
		p.blank()
		p.line("", 0, k.Why)
		fmt.Fprintf(p.w, "\nnot so:\n%s\nso:\n%s", indent(k.Bad), indent(k.Good))
		return nil
	}
	return usageError{fmt.Sprintf("there is no kind of finding %q", id), nearestName(id, ids, "the kinds are "+strings.Join(ids, ", ")), ""}
}

func indent(text string) string {
	return "  " + strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "\n", "\n  ") + "\n"
}
