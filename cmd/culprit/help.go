package main

import (
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/pflag"
)

// overview is the help of the whole program.
func overview() string {
	var b strings.Builder
	b.WriteString("culprit ranks the faults that could explain one car's readings, and says why.\n\n")
	b.WriteString("usage: culprit COMMAND [OPTIONS] [ARGUMENTS]\n\n")
	for _, c := range commands {
		fmt.Fprintf(&b, "  %-10s %s\n", c.name, c.summary)
	}
	b.WriteString("  help       tell about a command: culprit help COMMAND\n")
	b.WriteString("\nexit status: 0 done, 1 the thing asked about is not in order, 2 bad usage or\n" +
		"input, 130 interrupted, 141 nobody reads the results any more\n")
	return b.String()
}

// help is the help of one command, with the options as the parser knows them.
func (c *command) help() string {
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.SortFlags = false
	c.flags(flags)
	return fmt.Sprintf("culprit %s: %s\n\nusage: culprit %s\n\n%s\n\noptions:\n%s",
		c.name, c.summary, c.usage, strings.TrimSpace(c.about), flags.FlagUsagesWrapped(80))
}

func help(s *stdio, args []string) int {
	if len(args) == 0 {
		fmt.Fprint(s.out, overview())
		return exitDone
	}
	c := find(args[0])
	if c == nil {
		return s.fail(usageError{fmt.Sprintf("there is no command %q", args[0]), "", ""})
	}
	fmt.Fprint(s.out, c.help())
	return exitDone
}

// version is the module's version where the build has one.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(devel)"
	}
	return info.Main.Version
}
