package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"culprit/engine"
)

// schemaFlag is the option that asks for the JSON Schema of a kind of file.
func schemaFlag(flags *pflag.FlagSet) *string {
	return flags.String("schema", "", "print the JSON Schema of a `KIND`: rules, cases, job, verdict, brief or error")
}

// printSchema writes the JSON Schema of a kind of file as it is kept.
func printSchema(s *stdio, kind string, args []string) error {
	if len(args) > 0 {
		return usageError{fmt.Sprintf("--schema takes no id, such as %q", args[0]), "", "show"}
	}
	text, err := engine.Schema(kind)
	if errors.Is(err, engine.ErrNoSchema) {
		hint := nearestName(kind, engine.SchemaKinds, "there are "+strings.Join(engine.SchemaKinds, ", "))
		return usageError{fmt.Sprintf("there is no schema of %q", kind), hint, ""}
	}
	if err == nil {
		_, err = s.out.Write(text)
	}
	return err
}

// withSchema lets a command print a schema instead of what it runs.
func withSchema(flags *pflag.FlagSet, run func(*stdio, []string) error) func(*stdio, []string) error {
	kind := schemaFlag(flags)
	return func(s *stdio, args []string) error {
		if flags.Changed("schema") {
			return printSchema(s, *kind, args)
		}
		return run(s, args)
	}
}
