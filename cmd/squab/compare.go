package main

import (
	"io"
	"slices"
	"strings"
	"time"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/page"
	"squab/cmd/squab/internal/print"
	"squab/eval/audit"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

func compareVerb() *verb {
	return &verb{name: "compare", args: "OLD NEW", about: "tell what differs between two sets of rules or results, and why", run: (*command).compare, help: `
Works the same orders out by two sets of rules, files or folders, and tells for each order which sizes,
marks, purchases and prices differ, and the smallest set of changed rules, rows, prices or asks that
makes it so. Files after the first two are read with both.

Of two saved results it tells what differs and which asks changed with it; which rule did it cannot be
told from results. With a record, the orders are the record's: as the files give them where they still
do, else as they were kept. What its run set is set on both sides.

  squab compare rules/ rules-new/                what the new rules change
  squab compare rules/ rules-new/ orders.squab   the orders stand in a file of their own
  squab compare rules/ --dates 2026-02-28,2026-03-01   what came into force between two days
  squab compare march.json july.json             two results that squab cut --format json wrote
  squab compare --record march.json rules/       a record of squab cut --record, and today's rules
  squab compare old/ new/ --format html --out changed.html   as a page, that needs no network`}
}

// compareFlags are the flags of compare.
type compareFlags struct {
	bookFlags
	outFlags
	reckonFlags
	date   string
	dates  []string
	record string
	day    int64
}

func (c *command) compare(args []string) error {
	var f compareFlags
	f.bookFlags.add(c.flags)
	f.outFlags.add(c.flags, "text", "json", "html")
	c.flags.StringVar(&f.date, "date", "", "the `DATE` of orders that give none, as 2026-04-02 (default: today)")
	c.flags.StringSliceVar(&f.dates, "dates", nil, "compare one set of rules as on two days: `DAY,DAY`")
	f.reckonFlags.add(c.flags)
	c.flags.StringVar(&f.record, "record", "", "compare what this `FILE` of squab cut --record keeps with what the files give now")
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	compare, err := c.comparer(paths, &f)
	if err != nil {
		return err
	}
	return c.writing(&f.outFlags, func(out io.Writer) error { return compare(out, paths, &f) })
}

// comparer settles what is compared with what, and by which flags.
func (c *command) comparer(paths []string, f *compareFlags) (func(io.Writer, []string, *compareFlags) error, error) {
	worked := len(f.dates) > 0 || f.date != "" || f.byArea || c.flags.Changed("effort")
	switch {
	case f.record != "" && worked:
		return nil, misuse("a record keeps its own --date, --by-area and --effort")
	case f.record != "":
		return c.compareRecord, nil
	case areResults(paths) && worked:
		return nil, misuse("--date, --dates, --by-area and --effort do not go with results, which are worked out already")
	case areResults(paths):
		return c.compareResults, onlyResults(paths)
	}
	return c.compareTo, f.settle(c.now, paths)
}

func (f *compareFlags) settle(now func() time.Time, paths []string) error {
	if len(f.dates) != 0 && len(f.dates) != 2 {
		return misuse("--dates takes two days, as 2026-02-28,2026-03-01")
	}
	if len(f.dates) == 2 && f.date != "" {
		return misuse("--dates gives the days itself: leave --date out")
	}
	if len(f.dates) == 0 && len(paths) < 2 {
		return misuse("squab compare wants two sets of rules, or one with --dates")
	}
	if len(f.dates) == 0 && slices.Contains(paths[slices.Index(paths, "-")+1:], "-") {
		return misuse("standard input is read once: it is the old rules, the new, or what is read with both")
	}
	dated := orderFlags{date: f.date}
	if err := dated.settleDate(now); err != nil {
		return err
	}
	f.day = dated.day
	return f.reckonFlags.settle()
}

func (c *command) compareTo(out io.Writer, paths []string, f *compareFlags) error {
	before, after, files, err := c.twoBooks(paths, f)
	if err != nil {
		return err
	}
	job := comparison{files: files, before: before, after: after, run: audit.Runner{Day: f.day, All: len(f.dates) == 2}, of: print.OfRules}
	job.old, job.new = f.sides(paths)
	if !f.byArea {
		job.run.Lay = stdlib.Lay(layout.Effort{Work: f.effort, Workers: 1})
	}
	return c.compareBooks(out, job, f.format)
}

// comparison is two books to be compared, and what is said of it.
type comparison struct {
	files         *diag.Files
	before, after audit.Book
	run           audit.Runner
	of, old, new  string
	notes         []string
}

func (c *command) compareBooks(out io.Writer, job comparison, format string) error {
	var result audit.Comparison
	var problems []diag.Diagnostic
	c.waiting(func() { result, problems = audit.Compare(job.before, job.after, job.run) })
	if err := c.report(job.files, problems); err != nil {
		return err
	}
	if hasErrors(problems) && (!result.Before.Sound || !result.After.Sound) {
		return errProblems
	}
	compared := print.ComparisonOf(job.files, result)
	compared.Of, compared.Old, compared.New = job.of, job.old, job.new
	compared.Notes = append(compared.Notes, job.notes...)
	return writeCompared(out, compared, format)
}

// sides names what is compared.
func (f *compareFlags) sides(paths []string) (before, after string) {
	if len(f.dates) == 2 {
		return strings.TrimSpace(f.dates[0]), strings.TrimSpace(f.dates[1])
	}
	return paths[0], paths[1]
}

func writeCompared(out io.Writer, c print.Compared, format string) error {
	switch format {
	case "json":
		return writeAll(out, string(print.Line(c))+"\n")
	case "html":
		return page.WriteComparison(out, c)
	}
	return writeAll(out, print.Comparison(c))
}

// twoBooks reads what is compared: two sets of files, or one as on two days.
func (c *command) twoBooks(paths []string, f *compareFlags) (before, after audit.Book, files *diag.Files, err error) {
	options := load.Options{MaxFile: int64(f.maxFile), Stdin: c.in, Library: stdlib.AddTo}
	if len(f.dates) == 2 {
		return c.twoDays(paths, f, options)
	}
	pair, err := load.OpenPair(paths[:1], paths[1:2], paths[2:], options)
	if err != nil {
		return before, after, nil, err
	}
	return pair.Old, pair.New, pair.Files, c.parsed(pair.Files, pair.Problems)
}

func (c *command) twoDays(paths []string, f *compareFlags, options load.Options) (before, after audit.Book, files *diag.Files, err error) {
	pair, err := load.OpenPair(paths, nil, nil, options)
	if err != nil {
		return before, after, nil, err
	}
	days, err := twoDates(f)
	if err != nil {
		return before, after, nil, err
	}
	return pair.Old.On(days[0]), pair.Old.On(days[1]), pair.Files, c.parsed(pair.Files, pair.Problems)
}

// twoDates reads the two days, and has orders worked out on the later of them.
func twoDates(f *compareFlags) (days [2]lang.DateLit, err error) {
	for i, text := range f.dates {
		day, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
		if err != nil {
			return days, misuse("a day is written 2026-03-01, not %q", text)
		}
		days[i] = lang.DateLit{Year: day.Year(), Month: int(day.Month()), Day: day.Day()}
		if n := dayOf(day); i == 0 || n > f.day {
			f.day = n
		}
	}
	return days, nil
}

// parsed tells of what the parser found; nothing is compared where it found an error, for a declaration may be lost.
func (c *command) parsed(files *diag.Files, problems []diag.Diagnostic) error {
	if err := c.report(files, problems); err != nil {
		return err
	}
	if hasErrors(problems) {
		return errProblems
	}
	return nil
}
