package load

import (
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

// Audit gives a book's trees, to be asked about.
func (b *Book) Audit() audit.Book {
	out := audit.Book{Files: b.Files}
	for _, t := range b.trees {
		if t.Source.Layer == diag.Trade {
			out.Trade = append(out.Trade, t)
			continue
		}
		out.House = append(out.House, t)
	}
	return out
}
