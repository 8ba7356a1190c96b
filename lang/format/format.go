// Package format gives a source file its one layout: two blanks for each depth of braces, columns in runs of neighbouring
// lines, one blank around operators. Every token and every comment stays as it is written, and where it is.
package format

import (
	"errors"
	"fmt"
	"sort"

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
	old, new := sequence(before), sequence(after)
	if len(old) != len(new) {
		return errors.New(before.Source.Name + ": the layout would lose something; the file stays as it is")
	}
	for i, t := range old {
		if t.Text != new[i].Text || t.Role != new[i].Role || t.Begins != new[i].Begins {
			return fmt.Errorf("%s:%d: the layout would change %q; the file stays as it is", before.Source.Name, t.Line, t.Text)
		}
	}
	return nil
}

// sequence gives the tokens and the comments of a file as they follow one another.
func sequence(f *lang.File) []lang.Token {
	tokens := lang.Tokens(f)
	all := make([]lang.Token, 0, len(tokens)+len(f.Comments))
	for _, c := range f.Comments {
		n := sort.Search(len(tokens), func(i int) bool { return tokens[i].At.Start > c.At.Start })
		all = append(append(all, tokens[:n]...), lang.Token{Text: c.Text, At: c.At, Line: f.Source.Place(c.At.Start).Line})
		tokens = tokens[n:]
	}
	return append(all, tokens...)
}
