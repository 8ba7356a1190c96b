package stdlib

import (
	"fmt"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// TestNoRuleGoesUnnoticed amends each measured rule of the library to give more than it does, and wants some published example to notice.
func TestNoRuleGoesUnnoticed(t *testing.T) {
	if testing.Short() {
		t.Skip("checks the library once for each of its rules")
	}
	whole := open(t, published)
	l := readLibrary(t)
	tried := 0
	for _, r := range whole.program.Rules {
		amend := raised(whole, r)
		if amend == "" {
			continue
		}
		tried++
		if l.holdsUnder(t, amend) {
			t.Errorf("%s: no proof notices: %s", whole.place(r.At), amend)
		}
	}
	if tried < 120 {
		t.Errorf("only %d rules were tried", tried)
	}
}

// more is what is added to a measure to change it for certain, zero or not.
var more = map[string]string{"length": "1 in", "money": "$1", "time": "1 min", "number": "1", "count": "1", "area": "1 in2", "mass": "1 lb", "angle": "1 deg",
	"volume": "1 in3", "money per length": "$1 per yd", "money per time": "$1 per min", "time per length": "1 min per ft"}

// raised writes an amendment that adds to the first case of a rule; nothing where the rule gives no measure, or has cells of its own.
func raised(b book, r *check.Rule) string {
	if r.Layer != diag.Trade || r.Base == nil || r.IsTable || more[r.Result.String()] == "" || len(r.Base.Locals) > 0 {
		return ""
	}
	first := r.Base.Cases[0]
	value := fmt.Sprintf("(%s) + %s", b.files.Text(first.Value.Span()), more[r.Result.String()])
	if first.When != nil {
		return fmt.Sprintf("amend %s%s {\n  %s when %s\n}\n", r.Name, paramNames(r), value, b.files.Text(first.When.Span()))
	}
	return fmt.Sprintf("amend %s%s = %s\n", r.Name, paramNames(r), value)
}

func paramNames(r *check.Rule) string {
	if len(r.Params) == 0 {
		return ""
	}
	var names []string
	for _, p := range r.Params {
		names = append(names, p.Name)
	}
	return "(" + strings.Join(names, ", ") + ")"
}

// library is the trade library and the published examples, parsed once.
type library struct {
	files  *diag.Files
	parsed []*lang.File
}

func readLibrary(t *testing.T) library {
	t.Helper()
	l := library{files: &diag.Files{}}
	var problems diag.List
	for _, src := range append(AddTo(l.files), addFolder(t, l.files, published)...) {
		l.parsed = append(l.parsed, lang.Parse(src, lang.Limits{}, &problems))
	}
	return l
}

// holdsUnder reports whether every published example still holds under an amendment.
func (l library) holdsUnder(t *testing.T, amend string) bool {
	t.Helper()
	var problems diag.List
	amended := lang.Parse(l.files.Add("amendment", amend, diag.House), lang.Limits{}, &problems)
	program := check.Check(l.files, append(l.parsed[:len(l.parsed):len(l.parsed)], amended), &problems)
	if !program.Sound {
		t.Fatalf("%s: %v", amend, problems.All())
	}
	engine := &eval.Engine{Program: program}
	for _, o := range program.Proofs {
		if !engine.Prove(o, o.Date).Holds() {
			return false
		}
	}
	return true
}
