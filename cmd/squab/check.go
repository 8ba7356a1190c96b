package main

import (
	"fmt"
	"io"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/print"
	"squab/eval/trace"
	"squab/lang/diag"
	"squab/stdlib"
)

func checkVerb() *verb {
	return &verb{name: "check", args: "FILE...", about: "tell every problem in the files; no order is worked out", run: (*command).check, help: `
Reads the files together with the trade library and tells every problem in them, with its place: names,
kinds and units, cycles, tables with gaps, amendments that clash. No order is worked out.

  squab check rules/                     every *.squab file of a folder
  squab check rules/ --format json       for an editor or a script
  cat house.squab | squab check -        standard input`}
}

func (c *command) check(args []string) error {
	var f bookFlags
	var o outFlags
	f.add(c.flags)
	o.add(c.flags, "text", "json")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	return c.writing(&o, func(out io.Writer) error { return c.checkTo(out, paths, &f, o.format) })
}

func (c *command) checkTo(out io.Writer, paths []string, f *bookFlags, format string) error {
	book, err := load.Open(paths, load.Options{MaxFile: int64(f.maxFile), Stdin: c.in, Library: stdlib.AddTo})
	if err != nil {
		return err
	}
	book.Problems = append(book.Problems, deadRules(book)...)
	text := checkJSON(book)
	if format == "text" {
		if err := c.report(book.Files, book.Problems); err != nil {
			return err
		}
		text = checkWords(book)
	}
	c.flawed = hasErrors(book.Problems)
	return writeAll(out, text)
}

// deadRules warns of rules of the house's own that nothing in the files reads.
func deadRules(book *load.Book) []diag.Diagnostic {
	if !book.Program.Sound {
		return nil
	}
	var all []diag.Diagnostic
	for _, r := range trace.Dead(book.Program, diag.House) {
		all = append(all, diag.Diagnostic{Severity: diag.Warning, Code: "rule-unread", At: r.At, Message: "nothing in these files reads the rule " + r.Name,
			Help: "take it out, or check it together with the recipes that are to read it"})
	}
	return all
}

func checkJSON(book *load.Book) string {
	return string(print.Line(struct {
		Schema   int             `json:"schema"`
		Rules    string          `json:"rules"`
		Problems []print.Problem `json:"problems"`
	}{print.Schema, book.Fingerprint, print.ProblemList(book.Files, book.Problems)})) + "\n"
}

// checkWords says in a line what was found.
func checkWords(book *load.Book) string {
	files := 0
	for _, s := range book.Files.Sources() {
		if s.Layer != diag.Trade {
			files++
		}
	}
	if n := len(book.Problems); n > 0 {
		found := print.Counted(book.Errors(), "error")
		if warnings := n - book.Errors(); warnings > 0 {
			found += " and " + print.Counted(warnings, "warning")
		}
		return fmt.Sprintf("%s in %s.\n", found, print.Counted(files, "file"))
	}
	return fmt.Sprintf("No problems in %s: %s.\n", print.Counted(files, "file"), strings.Join(houseParts(book), ", "))
}

// houseParts counts what the house's own files declare.
func houseParts(book *load.Book) []string {
	rules, materials, recipes, proofs := 0, 0, 0, 0
	for _, r := range book.Program.Rules {
		rules += ofHouse(book, r.At)
	}
	for _, m := range book.Program.Materials {
		materials += ofHouse(book, m.At)
	}
	for _, r := range book.Program.Recipes {
		recipes += ofHouse(book, r.At)
	}
	for _, o := range book.Program.Proofs {
		proofs += ofHouse(book, o.At)
	}
	return []string{print.Counted(rules, "rule"), print.Counted(materials, "material"), print.Counted(recipes, "recipe"),
		print.Counted(len(book.Program.Orders), "order"), print.Counted(proofs, "proof")}
}

func ofHouse(book *load.Book, at diag.Span) int {
	if src := book.Files.Source(at.Start); src != nil && src.Layer != diag.Trade {
		return 1
	}
	return 0
}
