package load

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"sort"
	"sync"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// Book is everything read, checked together.
type Book struct {
	Files       *diag.Files
	Read        *diag.Files // the sources as they were read, without what a run sets
	Program     *check.Program
	Problems    []diag.Diagnostic // by place
	Fingerprint string            // of every source: SHA-256 in hexadecimal

	trees  []*lang.File
	inside []orderDecl
	wrong  map[diag.Pos][]diag.Diagnostic // the errors of each order and proof, by where it begins
}

// Trees are the sources as they were parsed, in the order of Files. A source with errors of syntax has what could be read of it.
func (b *Book) Trees() []*lang.File { return b.trees }

// Open reads and checks the files named. The error tells which could not be read; what is wrong inside them is in Problems.
func Open(paths []string, o Options) (*Book, error) {
	files := &diag.Files{}
	if o.Library != nil {
		o.Library(files)
	}
	library := len(files.Sources())
	if _, err := Read(files, paths, o); err != nil {
		return nil, err
	}
	if !o.Needed || sizeOf(files.Sources()[library:]) > maxNeeded {
		return Check(files, o), nil
	}
	return checkNeeded(files, library, o), nil
}

// Check parses and checks every source of files as one book.
func Check(files *diag.Files, o Options) *Book {
	trees, found := parse(files.Sources(), o.limits())
	return assemble(files, trees, found, o)
}

func (o Options) limits() lang.Limits { return lang.Limits{MaxBytes: int(o.maxFile())} }

func assemble(files *diag.Files, trees []*lang.File, found []diag.Diagnostic, o Options) *Book {
	print, read := fingerprint(files.Sources()), *files
	if o.Change != nil {
		var more []diag.Diagnostic
		trees, more = o.Change(files, trees)
		found = append(found, more...)
	}
	b := &Book{Files: files, Read: &read, Fingerprint: print, trees: trees, inside: orderDecls(trees)}
	var problems, ofOrders diag.List
	for _, d := range found {
		if _, ok := holder(b.inside, d.At); ok {
			ofOrders.Add(d)
			continue
		}
		problems.Add(d)
	}
	b.Program = check.Check(files, trees, &problems)
	b.refuse(ofOrders.All())
	for _, d := range ofOrders.All() {
		problems.Add(d)
	}
	b.Problems = problems.All()
	b.wrong = errorsInside(b.inside, b.Problems)
	return b
}

// parse reads the sources side by side, since the trade library is most of a short run.
func parse(sources []*diag.Source, limits lang.Limits) ([]*lang.File, []diag.Diagnostic) {
	trees := make([]*lang.File, len(sources))
	found := sideBySide(sources, func(i int, problems *diag.List) {
		trees[i] = lang.Parse(sources[i], limits, problems)
	})
	return trees, found
}

// sideBySide does one thing for each source, and gives what was reported in the order of the sources.
func sideBySide(sources []*diag.Source, do func(i int, problems *diag.List)) []diag.Diagnostic {
	lists := make([]diag.List, len(sources))
	todo := longestFirst(sources)
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(sources)) {
		group.Go(func() {
			for i := range todo {
				do(i, &lists[i])
			}
		})
	}
	group.Wait()
	var found []diag.Diagnostic
	for i := range lists {
		found = append(found, lists[i].All()...)
	}
	return found
}

// longestFirst hands the sources out by their numbers, so that no long one is waited for at the end.
func longestFirst(sources []*diag.Source) <-chan int {
	order := make([]int, len(sources))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return len(sources[j].Text) - len(sources[i].Text) })
	todo := make(chan int, len(order))
	for _, i := range order {
		todo <- i
	}
	close(todo)
	return todo
}

// orderDecl is an order or a proof as it stands in a file: all of it, and its id.
type orderDecl struct{ whole, id diag.Span }

func orderDecls(trees []*lang.File) []orderDecl {
	var all []orderDecl
	for _, t := range trees {
		for _, d := range t.Decls {
			switch d := d.(type) {
			case *lang.OrderDecl:
				all = append(all, orderDecl{d.At, d.ID.At})
			case *lang.ProofDecl:
				all = append(all, orderDecl{d.At, d.Title.At})
			}
		}
	}
	return all
}

// holder gives the order or proof that a place lies in; all are in order of place.
func holder(all []orderDecl, at diag.Span) (orderDecl, bool) {
	i := sort.Search(len(all), func(i int) bool { return all[i].whole.Start > at.Start }) - 1
	if i < 0 || at.IsZero() || at.Start >= all[i].whole.End {
		return orderDecl{}, false
	}
	return all[i], true
}

// errorsInside sorts the errors that lie in an order or a proof, or that have a further place in one, by where it begins.
func errorsInside(all []orderDecl, problems []diag.Diagnostic) map[diag.Pos][]diag.Diagnostic {
	inside := map[diag.Pos][]diag.Diagnostic{}
	for _, d := range problems {
		if d.Severity != diag.Error {
			continue
		}
		noted := map[diag.Pos]bool{}
		for _, at := range append([]diag.Span{d.At}, related(d)...) {
			if in, ok := holder(all, at); ok && !noted[in.whole.Start] {
				noted[in.whole.Start] = true
				inside[in.whole.Start] = append(inside[in.whole.Start], d)
			}
		}
	}
	return inside
}

func related(d diag.Diagnostic) []diag.Span {
	var all []diag.Span
	for _, r := range d.Related {
		all = append(all, r.At)
	}
	return all
}

// refuse marks the orders and proofs in which the parser found something wrong.
func (b *Book) refuse(found []diag.Diagnostic) {
	wrong := errorsInside(b.inside, found)
	for _, orders := range [][]*check.Order{b.Program.Orders, b.Program.Proofs} {
		for _, o := range orders {
			if in, ok := holder(b.inside, o.At); ok && len(wrong[in.whole.Start]) > 0 {
				o.Bad = true
			}
		}
	}
}

// ProblemsOf lists what was found wrong in an order of the book.
func (b *Book) ProblemsOf(o *check.Order) []diag.Diagnostic {
	in, _ := holder(b.inside, o.At)
	return b.wrong[in.whole.Start]
}

// Errors counts the problems that are errors.
func (b *Book) Errors() int {
	n := 0
	for _, d := range b.Problems {
		if d.Severity == diag.Error {
			n++
		}
	}
	return n
}

// fingerprint hashes every source's layer, file name and text, by name, so that neither the order nor the folder in which they are named matters.
func fingerprint(sources []*diag.Source) string {
	sums := make([]string, 0, len(sources))
	for _, s := range sources {
		h := sha256.New()
		writeField(h, s.Layer.String())
		writeField(h, filepath.Base(s.Name))
		writeField(h, s.Text)
		sums = append(sums, filepath.Base(s.Name)+"\x00"+string(h.Sum(nil)))
	}
	sort.Strings(sums)
	all := sha256.New()
	for _, sum := range sums {
		writeField(all, sum)
	}
	return hex.EncodeToString(all.Sum(nil))
}

// writeField writes a text with its length before it, so that no two lists of texts hash alike. A hash takes every write.
func writeField(w io.Writer, text string) {
	var length [8]byte
	binary.BigEndian.PutUint64(length[:], uint64(len(text)))
	w.Write(length[:])
	io.WriteString(w, text)
}
