package stdlib

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/format"
)

var update = flag.Bool("update", false, "tidy the library, the example and the proofs")

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

// TestSourcesAreTidy holds the library and its examples to the one layout.
func TestSourcesAreTidy(t *testing.T) {
	for _, folder := range []string{"trade", heronQuay, published} {
		files := &diag.Files{}
		for _, src := range addFolder(t, files, folder) {
			var problems diag.List
			tidy, err := format.Format(lang.Parse(src, lang.Limits{}, &problems))
			if err == nil && tidy != src.Text && *update {
				err = os.WriteFile(filepath.Join(folder, filepath.Base(src.Name)), []byte(tidy), 0o644)
			}
			if err != nil || tidy != src.Text && !*update {
				t.Errorf("%s is not tidy (%v): run the test with -update", src.Name, err)
			}
		}
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

const heronQuay = "../examples/heron-quay"

func TestHeronQuayOrdersAreWorked(t *testing.T) {
	b := open(t, heronQuay)
	results := b.work(t)
	if len(results) < 8 {
		t.Errorf("%d orders worked, want at least 8", len(results))
	}
	recipes := map[string]bool{}
	for _, r := range results {
		recipes[r.Recipe.Name] = true
		if len(r.Pieces) == 0 || len(r.Buy) == 0 || len(r.Work) == 0 || len(r.Steps) == 0 || len(r.Cautions) == 0 {
			t.Errorf("order %s lacks pieces, a buying list, work, steps or cautions", r.Order.ID)
		}
	}
	for _, want := range []string{"buttoned_lid", "boxed_cushion", "bolster", "headboard"} {
		if !recipes[want] {
			t.Errorf("no order makes %s", want)
		}
	}
}

func TestHeronQuayProofsHold(t *testing.T) {
	open(t, heronQuay).prove(t)
}

// prove runs every proof of a book.
func (b book) prove(t *testing.T) {
	t.Helper()
	engine := &eval.Engine{Program: b.program}
	if len(b.program.Proofs) == 0 {
		t.Error("no proofs")
	}
	for _, o := range b.program.Proofs {
		proved := engine.Prove(o, o.Date)
		for _, d := range proved.Problems {
			t.Errorf("proof %q: %s", o.Title, b.line(d))
		}
		for _, l := range proved.Lines {
			if l.Fault != nil {
				t.Errorf("proof %q: %s: %v", o.Title, l.Expect.Text, l.Fault)
			} else if !l.Holds {
				t.Errorf("proof %q: %s: got %s, want %s", o.Title, l.Expect.Text, l.Got, l.Want)
			}
		}
	}
}

const published = "../testdata/published"

func TestPublishedExamplesHold(t *testing.T) {
	open(t, published).prove(t)
}

// TestPublishedReachesTheWholeLibrary fails for every rule, case, row and recipe of the library that no published example uses.
func TestPublishedReachesTheWholeLibrary(t *testing.T) {
	b := open(t, published)
	engine := &eval.Engine{Program: b.program}
	var reach trace.Reach
	for _, o := range b.program.Proofs {
		reach.Add(engine.Prove(o, o.Date).Sheet)
	}
	for _, u := range reach.Unreached(b.program, diag.Trade) {
		t.Errorf("%s: no proof uses the %s %s", b.place(u.At), u.What, u.Text)
	}
}

// TestWrongPrintsAreRefused tries the figures of sources whose own arithmetic is wrong; none may hold.
func TestWrongPrintsAreRefused(t *testing.T) {
	for _, wrong := range []struct{ source, figure string }{
		{"upholsterystudio.com trade article: the axes of the diamond grid swapped", "diamond_step(3 in) = 2 1/2 in"},
		{"drpinc.net: 456 in printed as 12.6 yd", "roll_long(4, 114 in) = 12.6 yd"},
		{"Mollie Makes 2016: sides of a 15 cm cushion cut 17 cm with 1.5 cm seams", "plate_cut(15 cm, 1.5 cm) = 17 cm"},
		{"quiltersquestiontime.com: 19 in printed as 0.52 yd", "19 in / 1 yd rounded to 0.01 = 0.52"},
		{"brushesandthread blog: 102 in printed as 2.9 yd", "full_pleats(34 in) / 1 yd rounded to 0.1 = 2.9"},
	} {
		b := openWith(t, "proof \"wrong\" {\n  expect "+wrong.figure+"\n}\n")
		engine := &eval.Engine{Program: b.program}
		for _, o := range b.program.Proofs {
			for _, l := range engine.Prove(o, o.Date).Lines {
				if l.Fault != nil || l.Holds {
					t.Errorf("%s: %s: holds %v, fault %v; want it refused", wrong.source, wrong.figure, l.Holds, l.Fault)
				}
			}
		}
	}
}

// openWith reads the trade library, one more house file, and folders.
func openWith(t testing.TB, house string, folders ...string) book {
	t.Helper()
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "more.squab"), []byte(house), 0o600); err != nil {
		t.Fatal(err)
	}
	return open(t, append(folders, folder)...)
}

// TestThePageAddsUp holds the total of every order of the example against the lines above it, each a whole number of cents.
func TestThePageAddsUp(t *testing.T) {
	for _, r := range open(t, heronQuay).work(t) {
		var sum quantity.Number
		for _, line := range r.Price {
			if cents := line.Value.Mul(quantity.Int(100)); !line.IsNote && !cents.IsInt() {
				t.Errorf("order %s: %s is %s, no whole number of cents", r.Order.ID, line.Name, line.Value)
			}
			switch {
			case line.IsTotal && !line.Value.Equal(sum):
				t.Errorf("order %s: the lines come to %s, and the total is %s", r.Order.ID, sum, line.Value)
			case !line.IsTotal && !line.IsNote:
				sum = sum.Add(line.Value)
			}
		}
	}
}
