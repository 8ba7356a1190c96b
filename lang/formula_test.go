package lang

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func parseFormula(text string) (Expr, *diag.List) {
	var files diag.Files
	var problems diag.List
	return ParseFormula(files.Add("formula", text, diag.Order), &problems), &problems
}

// Each formula beside the same with every bracket written out: the two must have one tree, but for the brackets.
func TestPrecedence(t *testing.T) {
	for _, test := range []struct{ source, same string }{
		{"a or b and c", "a or (b and c)"},
		{"not a = b", "not (a = b)"},
		{"not a and b", "(not a) and b"},
		{"a + b = c * d", "(a + b) = (c * d)"},
		{"a is b = c", "(a is b) = c"},
		{"a is not b or c", "(a is not b) or c"},
		{"a rounded up to 1 in > b", "(a rounded up to 1 in) > b"},
		{"a + b rounded down to c / 2", "(a + b) rounded down to (c / 2)"},
		{"a by b rounded to 1 in", "(a by b) rounded to 1 in"},
		{"a rounded to b rounded up to c", "(a rounded to b) rounded up to c"},
		{"a rounded to b by c", "a rounded to (b by c)"},
		{"for each i from a - 1 to b * 2, j of c or d: i + j", "for each i from (a - 1) to (b * 2), j of (c or d): (i + j)"},
		{"a + 1 in by b - 1 in", "(a + 1 in) by (b - 1 in)"},
		{"a + i * gap at edge", "(a + (i * gap)) at edge"},
		{"a - b - c", "(a - b) - c"},
		{"a / b * c mod d", "((a / b) * c) mod d"},
		{"-a * b", "(-a) * b"},
		{"a - -b", "a - (-b)"},
		{"-a.b[1] per yd", "-((a.b[1]) per yd)"},
		{"a * b per yd", "a * (b per yd)"},
		{"if a then b else c + d", "if a then b else (c + d)"},
		{"if a then if b then c else d else e", "if a then (if b then c else d) else e"},
		{"for each i from 1 to n + 1: i by i", "for each i from 1 to (n + 1): (i by i)"},
		{"for each x of a: if x > 1 in then x else b", "for each x of a: (if (x > 1 in) then x else b)"},
		{"f(a, b: c + d)[2].e", "((f(a, b: (c + d)))[2]).e"},
		{"[a + b, c by d]", "[(a + b), (c by d)]"},
		{"a\n  + b\n  * c", "a + (b * c)"},
	} {
		got, problems := parseFormula(test.source)
		want, others := parseFormula(test.same)
		if all := append(problems.All(), others.All()...); len(all) > 0 {
			t.Errorf("%s: %s", test.source, all[0].Message)
		}
		if diff := cmp.Diff(dump(bare(want)), dump(bare(got))); diff != "" {
			t.Errorf("%s is not %s:\n%s", test.source, test.same, diff)
		}
	}
}

// bare takes the brackets out of a formula, in place.
func bare(e Expr) Expr {
	Walk(e, func(n Node) bool {
		switch n := n.(type) {
		case *Binary:
			n.X, n.Y = inner(n.X), inner(n.Y)
		case *Not:
			n.X = inner(n.X)
		case *Negate:
			n.X = inner(n.X)
		case *Rounded:
			n.X, n.Step = inner(n.X), inner(n.Step)
		case *PerUnit:
			n.X = inner(n.X)
		case *Field:
			n.X = inner(n.X)
		case *Index:
			n.X = inner(n.X)
		case *If:
			n.Cond, n.Then, n.Else = inner(n.Cond), inner(n.Then), inner(n.Else)
		case *ForEach:
			n.Body = inner(n.Body)
		case *Loop:
			n.From, n.To, n.Of = inner(n.From), inner(n.To), inner(n.Of)
		case *Arg:
			n.Value = inner(n.Value)
		case *List:
			for i := range n.Items {
				n.Items[i] = inner(n.Items[i])
			}
		}
		return true
	})
	return inner(e)
}

func inner(e Expr) Expr {
	for {
		p, ok := e.(*Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}

// A number stands in the tree as written, but with one blank in a mixed number and "one over" spelt out.
func TestNumbersInTheTree(t *testing.T) {
	for written, want := range map[string]string{
		"5": "5", "12.50": "12.50", "5/8": "5/8", "4 5/8": "4 5/8", "4 \t 5/8": "4 5/8", "4-5/8": "4-5/8", "4½": "4½", "4  ½": "4 ½", "4-½": "4-½",
		"⅟16": "1/16", "4⅟16": "4 1/16", "4 ⅟16": "4 1/16", "4-⅟16": "4-1/16", "4 5⁄8": "4 5⁄8",
	} {
		e, problems := parseFormula(written + " in")
		m, ok := e.(*Measure)
		if !ok || len(m.Parts) != 1 || m.Parts[0].Number != want || problems.HasErrors() {
			t.Errorf("%q is read as %s, want %q; %v", written, dump(e), want, problems.All())
		}
	}
}

// What a CSV field or a --set value may hold.
func TestParseFormula(t *testing.T) {
	for _, test := range []struct{ source, code string }{
		{"4-5/8\"", ""}, {"  46 in  ", ""}, {"harbour_tweed", ""}, {"yes", ""}, {`"plain"`, ""}, {"2026-03-01", ""}, {"3 ft 4 in", ""},
		{"", "formula-expected"}, {"   ", "formula-expected"}, {"# why", "formula-expected"}, {"46 in,", "unexpected"},
		{"46 in 3", ""}, {"wide deep", "operator-missing"}, {"(1 in", "bracket-missing"}, {"1 in)", "bracket-extra"}, {"rule", ""},
		{"when", "formula-expected"}, {"a = = b", "formula-expected"}, {"\x00", "nul-character"}, {"1 {", "body-misplaced"},
		{"46 in;", "semicolon"}, {"a && b", "and-sign"}, {"4 == 4", "equals-twice"}, {"46 in \xff", "utf8-invalid"},
		{"5 in when yes", "when-misplaced"}, {"\n46 in", ""},
	} {
		e, problems := parseFormula(test.source)
		code := ""
		if all := problems.All(); len(all) > 0 {
			code = all[0].Code
		}
		_, bad := e.(*Bad)
		if code != test.code || bad != (test.code != "") {
			t.Errorf("%q: code %q, bad %v; want code %q", test.source, code, bad, test.code)
		}
	}
}

func parseGiven(text string) (Expr, *Tolerance) {
	var files diag.Files
	var problems diag.List
	e, tolerance := ParseGiven(files.Add("given", text, diag.Order), &problems)
	if _, bad := e.(*Bad); bad != problems.HasErrors() {
		return nil, nil
	}
	return e, tolerance
}

func TestParseGiven(t *testing.T) {
	for _, test := range []struct {
		source      string
		over, under string
		code        string
	}{
		{"27 in", "", "", ""},
		{"27 in tolerance 1/8 in", "1/8 in", "1/8 in", ""},
		{"27 in tolerance +1/2 in -0 in", "1/2 in", "0 in", ""},
		{"2 * 13 1/2 in tolerance 1%", "1%", "1%", ""},
		{"27 in tolerance 1/8 in;", "", "", "semicolon"},
		{"27 in tolerance", "", "", "word-expected"},
		{"tolerance 1/8 in", "", "", "formula-expected"},
		{"27 in tolerance 1/8 in wide", "", "", "operator-missing"},
	} {
		var files diag.Files
		var problems diag.List
		src := files.Add("given", test.source, diag.Order)
		e, tolerance := ParseGiven(src, &problems)
		code := ""
		if all := problems.All(); len(all) > 0 {
			code = all[0].Code
		}
		if _, bad := e.(*Bad); code != test.code || bad != (test.code != "") {
			t.Errorf("%q: code %q, bad %v; want code %q", test.source, code, bad, test.code)
		}
		over, under := "", ""
		if tolerance != nil {
			over, under = src.Slice(tolerance.Up.Span()), src.Slice(tolerance.Down.Span())
		}
		if over != test.over || under != test.under {
			t.Errorf("%q: %q over, %q under", test.source, over, under)
		}
	}
}

// The sign of an operation stands where a problem with its two sides is marked.
func TestPlacesOfOperators(t *testing.T) {
	for source, want := range map[string]string{
		"a + b": "+", "(a) is not (b)": "is not", "a  is\nnot b": "is\nnot", "a by b": "by", "a ≤ b": "≤", "a mod b * c": "*",
	} {
		var files diag.Files
		src := files.Add("formula", source, diag.Order)
		e, ok := ParseFormula(src, &diag.List{}).(*Binary)
		if !ok || src.Slice(e.OpAt) != want {
			t.Errorf("%q: the operator stands at %q, want %q", source, src.Slice(e.OpAt), want)
		}
	}
}

// A bracket that is not closed is shown where it was opened, not one inside it or around it.
func TestUnclosedBracketsAreShown(t *testing.T) {
	for source, opened := range map[string]string{
		"(1 + (2)": "(1 + (2)", "1 + (2 + f(3)": "(2 + f(3)", "(1 + (2": "(2", "[1, (2), [3]": "[1, (2), [3]", "f(a, (b), c[1]": "(a, (b), c[1]", "a[(1)": "[(1)", "((1) + ((2) + 3)": "((1) + ((2) + 3)",
	} {
		var files diag.Files
		var problems diag.List
		src := files.Add("formula", source, diag.Order)
		ParseFormula(src, &problems)
		all := problems.All()
		if len(all) != 1 || all[0].Code != "bracket-missing" || len(all[0].Related) != 1 {
			t.Fatalf("%s: %+v", source, all)
		}
		if got := source[all[0].Related[0].At.Start-src.Base:]; got != opened {
			t.Errorf("%s: opened at %q, want %q", source, got, opened)
		}
	}
}

// Where a formula begins and ends is what a message marks and an edit replaces.
func TestSpansOfOperands(t *testing.T) {
	for _, operand := range []string{
		"15%", "$41.50 per yd", "$ 12", "3 ft 4 5/8 in", "3' 4-5/8\"", "½ in per each", "2026-03-01", "yes", `"a"`, `"a {b} c {d}"`, "f()", "f(a, key: b)",
		"a.b.c", "a[1][2]", "[1, 2]", "(a)", "-a", "not a", "a rounded up to 1 in", "if a then b else c", "for each i from 1 to 2, j of k: i", "(a) per yd",
	} {
		var files diag.Files
		files.Add("before", "x", diag.Trade)
		src := files.Add("formula", "\n "+operand+" # why\n", diag.Order)
		var problems diag.List
		e := ParseFormula(src, &problems)
		if got := src.Slice(e.Span()); got != operand || problems.Len() > 0 {
			t.Errorf("%q spans %q; %v", operand, got, problems.All())
		}
	}
}

func TestSpansOfArguments(t *testing.T) {
	var files diag.Files
	src := files.Add("formula", "f(a + 1, key: b * 2, key : 15%)", diag.Order)
	call := ParseFormula(src, &diag.List{}).(*Call)
	want := []string{"a + 1", "key: b * 2", "key : 15%"}
	for i, arg := range call.Args {
		if got := src.Slice(arg.Span()); got != want[i] {
			t.Errorf("argument %d spans %q, want %q", i, got, want[i])
		}
	}
}

func TestSpansOfFormulas(t *testing.T) {
	source := "max(wide - 2 * edge, [1 in, 3 ft 4 in][2]) rounded up to 1/4 yd"
	var files diag.Files
	files.Add("before", "something else", diag.Trade)
	src := files.Add("formula", source, diag.Order)
	e := ParseFormula(src, &diag.List{})
	var got []string
	Walk(e, func(n Node) bool {
		got = append(got, src.Slice(n.Span()))
		return true
	})
	want := []string{
		source, "max(wide - 2 * edge, [1 in, 3 ft 4 in][2])",
		"wide - 2 * edge", "wide - 2 * edge", "wide", "2 * edge", "2", "edge",
		"[1 in, 3 ft 4 in][2]", "[1 in, 3 ft 4 in][2]", "[1 in, 3 ft 4 in]", "1 in", "3 ft 4 in", "2", "1/4 yd",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the spans differ (-want +got):\n%s", diff)
	}
}

// A value of a row or a flag is no line of a declaration, whatever its words and however many its lines.
func TestMistakesOfValuesSpeakOfNoDeclaration(t *testing.T) {
	for _, test := range []struct{ source, code, help string }{
		{"2 in\nfoo", "operator-missing", ""},
		{"2 in\n  5", "operator-missing", ""},
		{"order 5", "operator-missing", ""},
		{"shop +", "formula-expected", ""},
		{"unit {", "body-misplaced", ""},
		{"2 in )", "bracket-extra", "take it out, or open it earlier"},
	} {
		_, problems := parseFormula(test.source)
		all := problems.All()
		if len(all) != 1 || all[0].Code != test.code || all[0].Help != test.help {
			t.Errorf("%q: %+v; want %s and the help %q", test.source, all, test.code, test.help)
		}
	}
}
