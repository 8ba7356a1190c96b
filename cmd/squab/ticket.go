package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/pflag"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/page"
	"squab/cmd/squab/internal/whole"
	"squab/eval"
	"squab/stdlib"
	"squab/stdlib/layout"
)

func ticketVerb() *verb {
	return &verb{name: "ticket", args: "FILE...", about: "make pages for the bench: cut list, drawings, layouts, steps, reasons", run: (*command).ticket, help: `
Makes the ticket of every order in the files as one HTML page that needs no network: the cut list with
boxes to tick, drawings with marks from one datum, layers, layouts, steps with their cautions, the buying
list and the price. Every number opens to how it came about. It prints on Letter and on A4.

  squab ticket rules/ --order 1042 --out ticket.html   one order
  squab ticket rules/ --out tickets/                   a page an order, in a folder that is there
  squab ticket rules/ --quotation --out offers.html    for the customer: no cost prices, no rules
  squab ticket rules/ --labels --out labels.html       a label for each cut piece
  squab ticket rules/ --buying --out buy.html          one buying list, of all orders
  squab ticket rules/ --order 1042 --template skin --paper a4 --out skin.html
                                                       a piece's marks at full size, to tile
  squab ticket rules/ --csv --out everything.csv       every value of every order, for a spreadsheet`}
}

// ticketFlags are the flags of ticket.
type ticketFlags struct {
	cutFlags
	quotation, labels, buying bool
	csv                       bool
	template                  string
	strip, svg                bool
	paper                     string
}

func (f *ticketFlags) add(flags *pflag.FlagSet) {
	f.orderFlags.add(flags)
	flags.StringVar(&f.out, "out", "", "write the page to this `FILE`, or a page an order into this folder")
	flags.BoolVar(&f.force, "force", false, "let --out replace files")
	f.reckonFlags.add(flags)
	flags.BoolVar(&f.quotation, "quotation", false, "make quotations for customers")
	flags.BoolVar(&f.labels, "labels", false, "make labels for the cut pieces")
	flags.BoolVar(&f.buying, "buying", false, "make one buying list across the orders")
	flags.BoolVar(&f.csv, "csv", false, "write every value of the orders as CSV")
	flags.StringVar(&f.template, "template", "", "make a template of this `PIECE` at full size")
	flags.BoolVar(&f.strip, "strip", false, "with --template: only strips with the running marks, for a straight edge")
	flags.BoolVar(&f.svg, "svg", false, "with --template: one drawing at full size as SVG, not sheets to tile")
	flags.StringVar(&f.paper, "paper", "letter", "`SHEET` that templates and labels are made for: letter or a4")
}

// writer picks what is made of the orders.
func (f *ticketFlags) writer() (func(io.Writer, page.Sheaf) error, error) {
	sheet, ok := page.SheetNamed(f.paper)
	if !ok {
		return nil, misuse("--paper is letter or a4, not %q", f.paper)
	}
	var picked []func(io.Writer, page.Sheaf) error
	pick := func(want bool, write func(io.Writer, page.Sheaf) error) {
		if want {
			picked = append(picked, write)
		}
	}
	pick(f.quotation, page.WriteQuotations)
	pick(f.buying, page.WriteBuying)
	pick(f.csv, page.WriteCSV)
	pick(f.labels, func(w io.Writer, s page.Sheaf) error { return page.WriteLabels(w, s, sheet) })
	pick(f.template != "", func(w io.Writer, s page.Sheaf) error {
		return page.WriteTemplate(w, s, page.TemplateOptions{Piece: f.template, Strip: f.strip, SVG: f.svg, Sheet: sheet})
	})
	switch {
	case len(picked) > 1:
		return nil, misuse("--quotation, --labels, --buying, --csv and --template are made one at a time")
	case (f.strip || f.svg) && f.template == "":
		return nil, misuse("--strip and --svg go with --template")
	case f.strip && f.svg:
		return nil, misuse("--strip and --svg are made one at a time")
	case len(picked) == 1:
		return picked[0], nil
	}
	return page.WriteTickets, nil
}

func (c *command) ticket(args []string) error {
	var f ticketFlags
	f.add(c.flags)
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	if err := f.settle(c.now); err != nil {
		return err
	}
	write, err := f.writer()
	if err != nil {
		return err
	}
	if isFolder(f.out) {
		return c.ticketsInto(paths, &f, write)
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return c.ticketTo(out, paths, &f, write) })
}

func (c *command) ticketTo(out io.Writer, paths []string, f *ticketFlags, write func(io.Writer, page.Sheaf) error) error {
	book, results, err := c.worked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	sheaf, err := sheafOf(book, results, f)
	if err != nil {
		return err
	}
	return templateError(write(out, sheaf))
}

// sheafOf lays the orders out together where one buying list is made of them.
func sheafOf(book *load.Book, results []*eval.Result, f *ticketFlags) (s page.Sheaf, err error) {
	s = page.Sheaf{Results: results, Rules: book.Fingerprint}
	if f.buying && !f.byArea && len(results) > 1 {
		s.Together, err = stdlib.Together(results, layout.Effort{Work: f.effort})
	}
	return s, err
}

// templateError words what a page could not be made of as a mistake in how the command was used.
func templateError(err error) error {
	var unknown page.UnknownPiece
	var several page.SeveralOrders
	var large page.TooLarge
	if errors.As(err, &unknown) || errors.As(err, &several) || errors.As(err, &large) {
		return misused{err.Error()}
	}
	return err
}

// worked works out the orders that the flags choose, and tells of those that are refused. There is at least one result; the error says why there is none.
func (c *command) worked(paths []string, f *cutFlags) (*load.Book, []*eval.Result, error) {
	book, err := c.openSet(paths, &f.orderFlags)
	if err != nil {
		return nil, nil, err
	}
	src, err := c.orders(book, &f.orderFlags)
	if err != nil {
		return nil, nil, err
	}
	defer src.close()
	engine := engineFor(book, f)
	var results []*eval.Result
	refused := 0
	err = c.eachOrder(src, func(j job) error {
		c.progress.tell(tally{cut: len(results), refused: refused})
		if r := src.work(engine, &j); r != nil {
			results = append(results, r)
			return nil
		}
		refused++
		return c.refuse(book.Files, j)
	})
	if err == nil && len(results) == 0 {
		err = c.nothing("there are no orders to make a page of")
	}
	return book, results, err
}

// ending is what the names of files end in.
func (f *ticketFlags) ending() string {
	switch {
	case f.csv:
		return "csv"
	case f.svg:
		return "svg"
	}
	return "html"
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return path != "" && err == nil && info.IsDir()
}

// ticketsInto writes a page an order into a folder.
func (c *command) ticketsInto(paths []string, f *ticketFlags, write func(io.Writer, page.Sheaf) error) error {
	c.showProgress(false)
	book, results, err := c.worked(paths, &f.cutFlags)
	if err != nil {
		return err
	}
	names, err := fileNames(results, f.ending())
	if err != nil {
		return err
	}
	if err := refuseExisting(f.out, names, f.force); err != nil {
		return err
	}
	for i, r := range results {
		var text strings.Builder
		if err := templateError(write(&text, page.Sheaf{Results: []*eval.Result{r}, Rules: book.Fingerprint})); err != nil {
			return err
		}
		if err := whole.WriteFile(filepath.Join(f.out, names[i]), text.String(), f.force); err != nil {
			return err
		}
	}
	return nil
}

// fileNames names a file for each order.
func fileNames(results []*eval.Result, ending string) ([]string, error) {
	var names []string
	taken := map[string]string{}
	for _, r := range results {
		name := fileName(r.Order.ID, ending)
		if before, ok := taken[name]; ok {
			return nil, misuse("the orders %s and %s would have one file name: write one with --order", cleanID(before), cleanID(r.Order.ID))
		}
		taken[name] = r.Order.ID
		names = append(names, name)
	}
	return names, nil
}

// fileName makes a file's name of an order's id: letters, digits, and hyphens for the rest.
func fileName(id, ending string) string {
	const most = 60
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' {
			return r
		}
		return '-'
	}, id)
	if runes := []rune(name); len(runes) > most {
		name = string(runes[:most])
	}
	return fmt.Sprintf("order-%s.%s", name, ending)
}
