package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/print"
)

func overview() string {
	var b strings.Builder
	b.WriteString("squab works upholstery orders out from a workroom's own rules.\n\nUsage: squab COMMAND [FLAGS] FILE...\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(&b, "  %-8s %s\n", v.name, v.about)
	}
	b.WriteString(`
A FILE is a *.squab file, a folder of them, or - for standard input; the trade
library is always there. squab COMMAND --help shows a command's flags, with
examples.

Exit status: 0 all well; 1 problems in what was read (told on standard error;
what could be worked out is on standard output); 2 the command was used wrongly;
3 a file could not be read or written.

Squab reckons sizes and prices. Cut a first piece and check it before the rest.
It never says that a piece complies with a regulation: local codes and licensed
practice come first.
`)
	return b.String()
}

// helpWidth is how many columns a terminal shows without being drawn wider.
const helpWidth = 80

func helpOf(v *verb, flags *pflag.FlagSet) string {
	return fmt.Sprintf("squab %s %s\n\n%s\n\nFlags:\n%s", v.name, v.args, flowed(strings.TrimSpace(v.help)), flags.FlagUsagesWrapped(helpWidth))
}

// flowed sets a help's paragraphs in lines of helpWidth columns. What is indented, an example, stays as it is.
func flowed(help string) string {
	var paragraphs []string
	for p := range strings.SplitSeq(help, "\n\n") {
		if !strings.HasPrefix(p, " ") {
			p = strings.Join(print.Wrap(p, helpWidth), "\n")
		}
		paragraphs = append(paragraphs, p)
	}
	return strings.Join(paragraphs, "\n\n")
}
