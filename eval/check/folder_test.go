package check_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
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

// A mistake in a line is told once: what it declares is known even so, and nothing is missed in it.
func TestMistakenLinesDeclareTheirNames(t *testing.T) {
	var files diag.Files
	var problems diag.List
	src := files.Add("mistaken", `caution scalpel 5                      # want text-expected
recipe cushion "Cushion" {
  ask wide: length
  edge = wide
}
recipe bench "Bench" {
  part seat = cushion { wide = 3 in, } # want brace-missing
  part back = 3                        # want name-expected
  side = seat.edge + back.edge
  caution scalpel
}
`, diag.House)
	checkOver(t, src, &files, &problems)
	diagtest.Compare(t, src, problems.All())
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

// inSource lists the codes that the Go files of a folder can give: every text of the form word-word, and whatever stands
// first in a call that makes a problem. So a code cannot slip by however it is handed on.
func inSource(t *testing.T, folder string) []string {
	t.Helper()
	codes := map[string]bool{}
	names, _ := filepath.Glob(filepath.Join(folder, "*.go"))
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if text := literalOf(n); hyphened.MatchString(text) {
				codes[text] = true
			}
			if text := literalOf(firstOfProblem(n)); text != "" {
				codes[text] = true
			}
			return true
		})
	}
	return slices.Sorted(maps.Keys(codes))
}

var hyphened = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)+$`)

func literalOf(n ast.Node) string {
	lit, ok := n.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return ""
	}
	text, _ := strconv.Unquote(lit.Value)
	return text
}

// firstOfProblem gives the node that says the code, where n makes a problem; else nil.
func firstOfProblem(n ast.Node) ast.Node {
	switch n := n.(type) {
	case *ast.KeyValueExpr:
		if key, ok := n.Key.(*ast.Ident); ok && key.Name == "Code" {
			return n.Value
		}
	case *ast.CallExpr:
		if slices.Contains([]string{"fail", "problem", "newFault", "fault", "Error", "Warn"}, calledName(n)) && len(n.Args) > 1 {
			return n.Args[0]
		}
	}
	return nil
}

func calledName(call *ast.CallExpr) string {
	switch f := call.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	}
	return ""
}

// A code that no file asks for would go untried, and one that nothing gives would be a name for nothing.
func TestEveryCodeHasAFile(t *testing.T) {
	for _, room := range []struct {
		source  string
		files   []string
		triedBy []string // codes tried by a test that makes its source, since the source is too large for a file
		besides []string // codes that the files meet from another room, or one word in a table of the source
	}{
		{"../../lang", []string{"lex/bad", "parse/bad"}, []string{"file-too-large", "formula-too-long", "line-too-long", "problems-too-many"}, []string{"semicolon"}},
		{".", []string{"check/bad", "tables/bad"}, []string{"formula-too-deep"}, []string{"formula-expected"}},
		{"..", []string{"eval/bad"}, []string{"ask-missing", "fault"}, []string{"name-unknown", "case-gap"}},
	} {
		given := wanted(t, room.files...)
		for _, code := range room.triedBy {
			if slices.Contains(given, code) {
				t.Errorf("%s: %s has a file, and need not be excepted", room.source, code)
			}
		}
		given = slices.DeleteFunc(append(given, room.triedBy...), func(code string) bool { return slices.Contains(room.besides, code) })
		slices.Sort(given)
		if diff := cmp.Diff(inSource(t, room.source), given); diff != "" {
			t.Errorf("codes in the source of %s (-) and of its files (+) differ:\n%s", room.source, diff)
		}
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
