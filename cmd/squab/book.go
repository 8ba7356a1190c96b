package main

import (
	"io"

	"squab/cmd/squab/internal/page"
)

func bookVerb() *verb {
	return &verb{name: "book", args: "FILE...", about: "make the rule book a page: rules, reasons, dates, what amends what", run: (*command).book, help: `
Makes the rule book of the files, with the trade library beneath them, one HTML page that needs no
network and searches by itself: rules in words and tables, each amendment beside what it replaces, with
reasons, sources and dates, what each rule reaches, materials, recipes, the price and the cautions.

  squab book rules/ --out book.html   the house's book and the trade's beneath it
  squab book house.squab              one file's, to standard output
  squab book rules/ --format markdown --out book.md   the rules as plain text with tables`}
}

// bookPageFlags are the flags of book.
type bookPageFlags struct {
	bookFlags
	outFlags
}

func (c *command) book(args []string) error {
	var f bookPageFlags
	f.bookFlags.add(c.flags)
	f.outFlags.add(c.flags, "html", "markdown")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.bookTo(out, paths, &f) })
}

func (c *command) bookTo(out io.Writer, paths []string, f *bookPageFlags) error {
	book, err := c.open(paths, &f.bookFlags)
	if err != nil {
		return err
	}
	if !book.Program.Sound {
		return c.nothing("the rules have problems, so no book is made of them: mend the problems told first")
	}
	write := page.WriteBook
	if f.format == "markdown" {
		write = page.WriteBookMarkdown
	}
	return write(out, book.Program, book.Fingerprint)
}
