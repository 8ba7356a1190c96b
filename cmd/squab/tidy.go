package main

import (
	"cmp"
	"errors"

	"squab/cmd/squab/internal/load"
	"squab/cmd/squab/internal/whole"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/format"
)

func tidyVerb() *verb {
	return &verb{name: "tidy", args: "FILE...", about: "lay source files out in the one layout", run: (*command).tidy, help: `
Writes source files in the one layout, with every comment kept. Without a flag the tidied text goes to
standard output. A file with errors of syntax is told of and left alone.

  squab tidy house.squab                 shows the tidied file
  squab tidy --diff rules/               shows what would change; exit status 1 if anything would
  squab tidy --write rules/              rewrites the files that change`}
}

// tidyFlags are the flags of tidy.
type tidyFlags struct {
	bookFlags
	write, diff bool
}

func (c *command) tidy(args []string) error {
	var f tidyFlags
	c.flags.BoolVar(&f.write, "write", false, "rewrite the files that change")
	c.flags.BoolVar(&f.diff, "diff", false, "show what would change")
	f.bookFlags.add(c.flags)
	paths, err := c.parse(args, 1)
	if err != nil {
		return err
	}
	files := &diag.Files{}
	texts, err := load.Read(files, paths, load.Options{MaxFile: int64(f.maxFile), Stdin: c.in})
	if err != nil {
		return err
	}
	var problems diag.List
	var failed []error
	for _, t := range texts {
		changed, err := c.tidyOne(t, &f, &problems)
		c.flawed = c.flawed || f.diff && !f.write && changed
		failed = append(failed, err)
	}
	return cmp.Or(c.report(files, problems.All()), errors.Join(failed...))
}

// tidyOne tidies one file and reports whether that changes it.
func (c *command) tidyOne(t load.Text, f *tidyFlags, problems *diag.List) (bool, error) {
	before := problems.Len()
	tree := lang.Parse(t.Source, lang.Limits{MaxBytes: int(f.maxFile)}, problems)
	if problems.ErrorsSince(before) {
		return false, nil
	}
	tidied, err := format.Format(tree)
	if err != nil {
		problems.Error("tidy", diag.Span{Start: t.Source.Base, End: t.Source.Base}, err.Error())
		return false, nil
	}
	changed := tidied != t.Source.Text
	if f.diff {
		if err := writeAll(c.stdout, format.Diff(t.Source.Name, t.Source.Text, tidied)); err != nil {
			return changed, err
		}
	}
	switch {
	case f.write && t.Path != "":
		if changed {
			err = whole.WriteFile(t.Path, tidied, true)
		}
	case !f.diff:
		err = writeAll(c.stdout, tidied)
	}
	return changed, err
}
