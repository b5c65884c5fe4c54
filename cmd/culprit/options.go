package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"culprit/engine"
)

// packOptions choose the rules; several commands share them.
type packOptions struct {
	pack string
	also []string
}

func (o *packOptions) add(flags *pflag.FlagSet) {
	flags.StringVar(&o.pack, "pack", engine.DefaultPack, "reason with this shipped pack, or the pack in this folder")
	flags.StringArrayVar(&o.also, "add", nil, "join the rules in this `FOLDER` to the pack (repeatable)")
}

func (o *packOptions) open() (*engine.Pack, error) {
	return engine.Open(engine.Sources{Pack: o.pack, Add: o.also})
}

// formatFlag is the option that says what the output is for.
func formatFlag(flags *pflag.FlagSet) *string {
	return flags.String("format", "text", "text for a person, json for a program")
}

func checkFormat(format, command string) (string, error) {
	if format != "text" && format != "json" {
		return "", usageError{fmt.Sprintf("--format is text or json, not %q", format), "", command}
	}
	return format, nil
}
