package lang

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"squab/lang/diag"
)

// addSeeds gives the fuzzer every source of the test data and every example of the reference.
func addSeeds(f *testing.F) {
	f.Helper()
	names, err := filepath.Glob(filepath.Join("..", "testdata", "*", "*", "*.squab"))
	if err != nil || len(names) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	for _, found := range []string{"recipe A!\n}\"{\n A!0!", "rule A(A:A from 0", "kind A\n A 00"} {
		f.Add(found)
	}
	for _, b := range referenceBlocks(f) {
		f.Add(b.Text)
	}
}

// Whatever the text: no panic, every place inside the source, every part inside what holds it, and something unread only
// where a problem says so.
func FuzzParse(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		var files diag.Files
		files.Add("before", "x", diag.Trade)
		src := files.Add("fuzz", text, diag.House)
		var problems diag.List
		file := Parse(src, Limits{}, &problems)
		for _, d := range problems.All() {
			inside(t, file.Span(), d.At, d.Code)
			if d.Message == "" {
				t.Errorf("%s says nothing", d.Code)
			}
		}
		for _, c := range file.Comments {
			inside(t, file.Span(), c.At, "comment")
			if src.Slice(c.At) != c.Text {
				t.Errorf("the comment %q stands at %q", c.Text, src.Slice(c.At))
			}
		}
		checkTree(t, file, problems.HasErrors())
	})
}

func checkTree(t *testing.T, file *File, wrong bool) {
	Walk(file, func(n Node) bool {
		if _, bad := n.(*Bad); bad && !wrong {
			t.Errorf("something was not read and nothing reported: %q", file.Source.Slice(n.Span()))
		}
		Walk(n, func(part Node) bool {
			inside(t, n.Span(), part.Span(), fmt.Sprintf("a %T of a %T", part, n))
			return part == n
		})
		return true
	})
}

func inside(t *testing.T, whole, part diag.Span, what string) {
	t.Helper()
	if part.Start < whole.Start || part.End > whole.End || part.End < part.Start {
		t.Errorf("%s at %v is not inside %v", what, part, whole)
	}
}

func FuzzParseFormula(f *testing.F) {
	for _, seed := range []string{"46 in", `4-5/8"`, "a rounded up to 1 in by b", `"{a} and {b}"`, "[1, (2)]", "for each i from 1 to 3: i", "", "3 in tolerance +1/8 in -0 in"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e, problems := parseFormula(text)
		if _, bad := e.(*Bad); bad != problems.HasErrors() {
			t.Errorf("%q: bad %v, problems %v", text, bad, problems.All())
		}
		if _, tolerance := parseGiven(text); tolerance == nil {
			return
		}
		if !problems.HasErrors() {
			t.Errorf("%q is a formula, and has a tolerance", text)
		}
	})
}
