package load

import (
	"slices"

	"squab/eval/audit"
	"squab/lang"
	"squab/lang/diag"
)

// Pair is two houses over one trade library, to be compared.
type Pair struct {
	Files    *diag.Files
	Old, New audit.Book
	Problems []diag.Diagnostic // of reading them: what the parser found
}

// OpenPair reads two sets of files, and more that belong to both, without checking them. The error tells which could not be read.
func OpenPair(before, after, both []string, o Options) (*Pair, error) {
	files := &diag.Files{}
	if o.Library != nil {
		o.Library(files)
	}
	trade := len(files.Sources())
	var ends [3]int
	for i, paths := range [][]string{before, after, both} {
		if _, err := Read(files, paths, o); err != nil {
			return nil, err
		}
		ends[i] = len(files.Sources())
	}
	trees, problems := parse(files.Sources(), lang.Limits{MaxBytes: int(o.maxFile())})
	shared := trees[ends[1]:ends[2]]
	book := func(own []*lang.File) audit.Book {
		return audit.Book{Files: files, Trade: trees[:trade], House: append(append([]*lang.File(nil), own...), shared...)}
	}
	return &Pair{files, book(trees[trade:ends[0]]), book(trees[ends[0]:ends[1]]), problems}, nil
}

// Side says which orders a side of a comparison has, and what a run sets in it.
type Side func(*diag.Files, []*lang.File) ([]*lang.File, []diag.Diagnostic)

// OpenAgainst reads files of today, with the trade library of today, to be compared with a book that was kept with its own. Each side's trees go
// through its Side. The error tells which file could not be read.
func OpenAgainst(kept *diag.Files, old Side, paths []string, new Side, o Options) (*Pair, error) {
	files := &diag.Files{}
	if o.Library != nil {
		o.Library(files)
	}
	if _, err := Read(files, paths, o); err != nil {
		return nil, err
	}
	today := len(files.Sources())
	for _, s := range kept.Sources() {
		files.Add(s.Name, s.Text, s.Layer)
	}
	trees, problems := parse(files.Sources(), lang.Limits{MaxBytes: int(o.maxFile())})
	pair := &Pair{Files: files, Problems: problems}
	for _, side := range []struct {
		to     *audit.Book
		trees  []*lang.File
		change Side
	}{{&pair.Old, trees[today:], old}, {&pair.New, trees[:today], new}} {
		changed, found := side.change(files, slices.Clone(side.trees))
		*side.to = bookOf(files, changed)
		pair.Problems = append(pair.Problems, found...)
	}
	if sameSources(pair.Old.Trade, pair.New.Trade) {
		pair.Old.Trade = pair.New.Trade
	}
	return pair, nil
}

func sameSources(a, b []*lang.File) bool {
	return slices.EqualFunc(a, b, func(x, y *lang.File) bool { return x.Source.Name == y.Source.Name && x.Source.Text == y.Source.Text })
}

// bookOf parts trees into the trade's and the house's.
func bookOf(files *diag.Files, trees []*lang.File) audit.Book {
	out := audit.Book{Files: files}
	for _, t := range trees {
		if t.Source != nil && t.Source.Layer == diag.Trade {
			out.Trade = append(out.Trade, t)
			continue
		}
		out.House = append(out.House, t)
	}
	return out
}

// Audit gives a book's trees, to be asked about.
func (b *Book) Audit() audit.Book { return bookOf(b.Files, b.trees) }
