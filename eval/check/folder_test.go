package check_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/diag/diagtest"
)

const testdata = "../../testdata"

// checkOver parses a source and checks it over the small trade library of the test data.
func checkOver(t testing.TB, src *diag.Source, files *diag.Files, problems *diag.List) *check.Program {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(testdata, "check", "trade", "base.squab"))
	if err != nil {
		t.Fatal(err)
	}
	trade := files.Add("trade/base.squab", string(text), diag.Trade)
	parsed := []*lang.File{lang.Parse(trade, lang.Limits{}, problems), lang.Parse(src, lang.Limits{}, problems)}
	return check.Check(files, parsed, problems)
}

// Each file of a bad folder holds one mistake, and says on its line which; a good file is without problems.
func TestCheckFolders(t *testing.T) {
	for _, folder := range []string{"check/good", "check/bad", "tables/good", "tables/bad"} {
		t.Run(folder, func(t *testing.T) {
			diagtest.Folder(t, filepath.Join(testdata, folder), func(src *diag.Source, files *diag.Files, problems *diag.List) {
				checkOver(t, src, files, problems)
			})
		})
	}
}

// Each order of a bad file meets what it says; each of a good one is worked out without a problem.
func TestEvalFolders(t *testing.T) {
	for _, folder := range []string{"eval/good", "eval/bad"} {
		t.Run(folder, func(t *testing.T) {
			diagtest.Folder(t, filepath.Join(testdata, folder), func(src *diag.Source, files *diag.Files, problems *diag.List) {
				p := checkOver(t, src, files, problems)
				e := eval.Engine{Program: p}
				for _, o := range p.Orders {
					workOut(&e, o, problems)
				}
			})
		})
	}
}

func workOut(e *eval.Engine, o *check.Order, problems *diag.List) {
	if o.Bad {
		return
	}
	_, found := e.Work(o, o.Date)
	for _, d := range found {
		problems.Add(d)
	}
}

// wanted lists the codes that the bad files of some folders want.
func wanted(t *testing.T, folders ...string) []string {
	t.Helper()
	var codes []string
	for _, folder := range folders {
		names, _ := filepath.Glob(filepath.Join(testdata, folder, "*.squab"))
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			wants, err := diagtest.Wants(string(text))
			if err != nil || len(wants) == 0 {
				t.Errorf("%s wants nothing (%v)", name, err)
			}
			for _, w := range wants {
				codes = append(codes, w.Code)
			}
		}
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// inSource lists the codes that the Go files of a folder can give.
func inSource(t *testing.T, folder, form string) []string {
	t.Helper()
	var codes []string
	names, _ := filepath.Glob(filepath.Join(folder, "*.go"))
	for _, name := range names {
		if ok, _ := filepath.Match("*_test.go", filepath.Base(name)); ok {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range regexp.MustCompile(form).FindAllStringSubmatch(string(text), -1) {
			codes = append(codes, found[1])
		}
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// A code that no file asks for would go untried, and one that nothing gives would be a name for nothing.
func TestEveryCodeHasAFile(t *testing.T) {
	source := append(inSource(t, ".", `(?:\.fail|constRange)\("([a-z-]+)"`), inSource(t, ".", `\treturn "([a-z]+(?:-[a-z]+)+)"`)...)
	slices.Sort(source)
	source = slices.Compact(source)
	files := append(wanted(t, "check/bad", "tables/bad"), "formula-too-deep")                      // TestTooDeep
	files = slices.DeleteFunc(files, func(code string) bool { return code == "formula-expected" }) // the parser's
	slices.Sort(files)
	if diff := cmp.Diff(source, files); diff != "" {
		t.Errorf("codes of the checker (-) and of its files (+) differ:\n%s", diff)
	}
}

func TestEveryFaultHasAFile(t *testing.T) {
	source := inSource(t, "..", `(?:newFault\(|\.problem\(|Code: )"([a-z-]+)"`)
	files := append(wanted(t, "eval/bad"), "ask-missing", "fault") // TestMissingAskAtRun; "fault" stands for a fault that is not of this package
	files = slices.DeleteFunc(files, func(code string) bool { return code == "name-unknown" || code == "case-gap" })
	slices.Sort(files)
	if diff := cmp.Diff(source, files); diff != "" {
		t.Errorf("codes of the evaluator (-) and of its files (+) differ:\n%s", diff)
	}
}

// An order that is filled from elsewhere may lack an ask; the checker refuses one that is written so.
func TestMissingAskAtRun(t *testing.T) {
	files, problems := &diag.Files{}, &diag.List{}
	p := checkOver(t, files.Add("house.squab", "recipe pad \"Pad\" { ask wide: length }\n", diag.House), files, problems)
	e := eval.Engine{Program: p}
	_, found := e.Work(&check.Order{ID: "1", Recipe: p.Recipe("pad")}, 0)
	if len(found) != 1 || found[0].Code != "ask-missing" {
		t.Errorf("found %v, want one ask-missing", found)
	}
}

func TestCodesEnough(t *testing.T) {
	all := wanted(t, "lex/bad", "parse/bad", "check/bad", "tables/bad", "eval/bad")
	if len(all) < 60 {
		t.Errorf("%d codes have a file, want 60 at least", len(all))
	}
	t.Logf("%d codes have a file", len(all))
}
