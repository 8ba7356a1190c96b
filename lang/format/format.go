// Package format gives a source file its one layout: two blanks for each depth of braces, columns in runs of neighbouring
// lines, one blank around operators. Every token and every comment stays as it is written, and where it is.
package format

import (
	"errors"
	"fmt"

	"squab/lang"
	"squab/lang/diag"
)

// Format gives the text of f in the one layout. It refuses, with an error, a file that cannot be read without errors.
func Format(f *lang.File) (string, error) {
	again, err := read(f.Source.Name, f.Source.Text)
	if err != nil {
		return "", err
	}
	p := printer{file: again, tokens: lang.Tokens(again)}
	text := p.print()
	return text, verify(again, text)
}

func read(name, text string) (*lang.File, error) {
	var files diag.Files
	var problems diag.List
	f := lang.Parse(files.Add(name, text, diag.House), lang.Limits{MaxBytes: len(text) + 1}, &problems)
	for _, d := range problems.All() {
		if d.Severity == diag.Error {
			return nil, fmt.Errorf("%s:%d: cannot be laid out before it is mended: %w", name, files.Place(d.At.Start).Line, d)
		}
	}
	return f, nil
}

// verify makes sure that a layout changed nothing but blanks, since it may be written over the only copy.
func verify(before *lang.File, text string) error {
	after, err := read(before.Source.Name, text)
	if err != nil {
		return err
	}
	old, new := lang.Tokens(before), lang.Tokens(after)
	if len(old) != len(new) || len(before.Comments) != len(after.Comments) {
		return errors.New(before.Source.Name + ": the layout would lose something; the file stays as it is")
	}
	for i := range old {
		if old[i].Text != new[i].Text || old[i].Role != new[i].Role || old[i].Begins != new[i].Begins {
			return fmt.Errorf("%s:%d: the layout would change %q; the file stays as it is", before.Source.Name, old[i].Line, old[i].Text)
		}
	}
	return nil
}
