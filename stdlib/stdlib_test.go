package stdlib

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// book is the trade library with a house over it, checked.
type book struct {
	files   *diag.Files
	program *check.Program
}

// open reads the trade library and every .squab file of the folders, and fails where anything is wrong with them.
func open(t testing.TB, folders ...string) book {
	t.Helper()
	b := book{files: &diag.Files{}}
	sources := AddTo(b.files)
	for _, folder := range folders {
		sources = append(sources, addFolder(t, b.files, folder)...)
	}
	var problems diag.List
	var parsed []*lang.File
	for _, src := range sources {
		parsed = append(parsed, lang.Parse(src, lang.Limits{}, &problems))
	}
	b.program = check.Check(b.files, parsed, &problems)
	for _, d := range problems.All() {
		t.Error(b.line(d))
	}
	return b
}

func addFolder(t testing.TB, files *diag.Files, folder string) (sources []*diag.Source) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "*.squab"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no .squab file in %s: %v", folder, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		sources = append(sources, files.Add(filepath.Base(name), string(text), diag.House))
	}
	return sources
}

// line writes a problem with its place, its fix and every further place.
func (b book) line(d diag.Diagnostic) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s: %s: %s", b.place(d.At), d.Code, d.Message)
	if d.Help != "" {
		fmt.Fprintf(&s, " (%s)", d.Help)
	}
	for _, r := range d.Related {
		fmt.Fprintf(&s, "\n    %s: %s", b.place(r.At), r.Note)
	}
	return s.String()
}

func (b book) place(at diag.Span) string {
	p := b.files.Place(at.Start)
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

func TestTradeSources(t *testing.T) {
	files := &diag.Files{}
	sources := AddTo(files)
	if len(sources) < 5 {
		t.Fatalf("%d sources, want the whole library", len(sources))
	}
	var names []string
	for _, src := range sources {
		names = append(names, src.Name)
		if src.Layer != diag.Trade {
			t.Errorf("%s lies in the layer %s, want trade", src.Name, src.Layer)
		}
		if !strings.HasPrefix(src.Name, "trade/") {
			t.Errorf("%s is not named trade/…", src.Name)
		}
	}
	if !slices.IsSorted(names) {
		t.Errorf("sources are not sorted: %v", names)
	}
}

func TestTradeAloneChecks(t *testing.T) {
	open(t)
}

// work works every order of a book out and fails where one is refused.
func (b book) work(t *testing.T) []*eval.Result {
	t.Helper()
	engine := &eval.Engine{Program: b.program}
	var all []*eval.Result
	for _, o := range b.program.Orders {
		result, problems := engine.Work(o, o.Date)
		for _, d := range problems {
			t.Errorf("order %s: %s", o.ID, b.line(d))
		}
		if result != nil {
			all = append(all, result)
		}
	}
	return all
}
