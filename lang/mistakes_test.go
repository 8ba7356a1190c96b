package lang

import (
	"strings"
	"testing"
)

// mistakes are lines of a recipe, each with the code and the fix that a reader should meet. The line after each must
// be read all the same.
var mistakes = []struct{ line, code, told string }{
	// Asks.
	{"ask", "name-expected", "ask NAME: KIND"},
	{"ask wide", "colon-expected", "ask NAME: KIND"},
	{"ask wide:", "kind-expected", "a kind expected"},
	{"ask wide: 5 in", "kind-expected", "not \"5\""},
	{"ask wide: length from", "formula-expected", "after \"from\""},
	{"ask wide: length from 1 in to", "formula-expected", "after \"to\""},
	{"ask wide: length to 5 in", "unexpected", "\"to\" does not belong here"},
	{"ask wide: length =", "formula-expected", "after \"=\""},
	{"ask wide: length 5 in", "operator-missing", "ask NAME: KIND"},
	{"ask wide: length form 1 in to 2 in", "word-unknown", "did you mean \"from\"?"},
	{"ask wide, deep: length", "colon-expected", "not \",\""},
	{"ask wide: list of", "kind-expected", "after \"of\""},
	{"ask wide: list length", "operator-missing", "\"list\" and \"length\""},
	{"ask wide: length per", "kind-expected", "after \"per\""},
	{"ask wide: yes / maybe", "kind-expected", "\"no\" expected"},
	{"ask wide: length in", "operator-missing", "\"length\" and \"in\""},
	// Needs.
	{"need", "formula-expected", "need CONDITION"},
	{"need else \"no\"", "formula-expected", "not \"else\""},
	{"need a > 1 else", "formula-expected", "after \"else\""},
	{"need a > 1, else \"no\"", "word-expected", "\"else\" expected"},
	{"need a > 1 els \"no\"", "word-expected", "\"else\" expected"},
	{"need a >", "formula-expected", "after \">\""},
	{"need a is not", "formula-expected", "after \"not\""},
	// Pieces and marks.
	{"piece", "name-expected", "piece NAME from MATERIAL"},
	{"piece top", "word-expected", "\"from\" expected"},
	{"piece top from = a by b", "formula-expected", "after \"from\""},
	{"piece top from cover", "equals-expected", "after \"cover\""},
	{"piece top from cover, = a by b", "formula-expected", "after \",\""},
	{"piece top from cover, 2 of = a by b", "word-expected", "\"off\" expected"},
	{"piece top form cover = a by b", "word-unknown", "did you mean \"from\"?"},
	{"piece top from cover = a by", "formula-expected", "after \"by\""},
	{"piece top from cover = a by b { up }", "equals-expected", "after \"up\""},
	{"piece top from cover = a by b { up: deep }", "equals-expected", "not \":\""},
	{"piece top from cover = a by b { up = }", "formula-expected", "after \"=\""},
	{"piece top from cover = a by b { 5 }", "brace-missing", "\"}\" expected"},
	{"marks", "name-expected", "marks NAME on PIECE"},
	{"marks holes on = a", "name-expected", "after \"on\""},
	{"marks holes on top, = a", "name-expected", "after \",\""},
	{"marks holes on top", "equals-expected", "after \"top\""},
	{"marks holes on top = [1 in at 2 in", "bracket-missing", "\"]\" expected"},
	{"marks holes on top = [1 in at 2 in 3 in at 4 in]", "size-chained", "second \"at\""},
	// Uses, work, charges.
	{"use", "formula-expected", "use FORMULA of MATERIAL"},
	{"use 2 yd from thread", "word-expected", "\"of\" expected"},
	{"use 2 yd of", "formula-expected", "after \"of\""},
	{"work = 5 min", "keyword-as-name", "\"work\""},
	{"work sewing 5 min", "equals-expected", "after \"sewing\""},
	{"work sewing at = 5 min", "formula-expected", "after \"at\""},
	{"work sewing = 5 min, 3 min", "word-expected", "\"setup\" expected"},
	{"work sewing = 5 min setup 3 min", "unexpected", "\"setup\" does not belong here"},
	{"work sewing = 5 min, setup", "formula-expected", "after \"setup\""},
	{"work sewing = 5 min/yd", "rate-or-division", "per yd"},
	{"charge = $5", "keyword-as-name", "\"charge\""},
	{"charge far $5", "equals-expected", "after \"far\""},
	{"charge far = 5$", "currency-behind", "write $12.50"},
	{"charge far = $5 $6", "operator-missing", "side by side"},
	// Steps, cautions, parts.
	{"step", "formula-expected", "step \"…\""},
	{"step mark the lid", "text-expected", "a step is a text"},
	{"step \"a\" \"b\"", "operator-missing", "side by side"},
	{"step \"a {}\"", "formula-expected", "not the text"},
	{"step \"a {b c}\"", "brace-missing", "\"}\" expected"},
	{"step \"a {(b} c\"", "bracket-missing", "not the text"},
	{"step \"a {f(b[1} {c} d\"", "bracket-missing", "not the text"},
	{"caution", "name-expected", "caution NAME"},
	{"caution \"mind\"", "name-expected", "not the text"},
	{"caution blades spray", "operator-missing", "\"blades\" and \"spray\""},
	{"caution blades,", "name-expected", "after \",\""},
	{"part seat", "equals-expected", "after \"seat\""},
	{"part seat = 3", "name-expected", "not \"3\""},
	{"part seat = cushion { wide 3 in }", "equals-expected", "after \"wide\""},
	{"part seat, 3 = cushion", "word-expected", "\"off\" expected"},
	// Formulas.
	{"x = (", "formula-expected", "after \"(\""},
	{"x = ()", "formula-expected", "not \")\""},
	{"x = (1 in", "bracket-missing", "\")\" expected"},
	{"x = (1 in]", "bracket-missing", "not \"]\""},
	{"x = f(1, )", "", ""},
	{"x = f(, 1)", "formula-expected", "not \",\""},
	{"x = f(key:)", "formula-expected", "after \":\""},
	{"x = f(1 2)", "bracket-missing", "not \"2\""},
	{"x = a..b", "name-expected", "after \".\""},
	{"x = a.5", "name-expected", "not \"5\""},
	{"x = a[]", "formula-expected", "not \"]\""},
	{"x = a + * b", "formula-expected", "not \"*\""},
	{"x = a * / b", "formula-expected", "not \"/\""},
	{"x = + a", "formula-expected", "not \"+\""},
	{"x = = a", "formula-expected", "not \"=\""},
	{"x = if a", "word-expected", "\"then\" expected"},
	{"x = if a then b els c", "word-unknown", "did you mean \"else\"?"},
	{"x = then b", "formula-expected", "not \"then\""},
	{"x = a rounded", "word-expected", "\"up to\""},
	{"x = a rounded up", "word-expected", "\"up to\""},
	{"x = a rounded upto 1 in", "word-unknown", "did you mean \"up to\"?"},
	{"x = a rounded up to", "formula-expected", "after \"to\""},
	{"x = for each from 1 to 2: i", "keyword-as-name", "\"from\""},
	{"x = for each i from 1: i", "word-expected", "\"to\" expected"},
	{"x = for each i of a", "colon-expected", "after \"a\""},
	{"x = for each i of a:", "formula-expected", "after \":\""},
	{"x = a is b or is c", "formula-expected", "not \"is\""},
	{"x = a and or b", "formula-expected", "not \"or\""},
	{"x = a < b > c", "comparison-chained", "a < b and b < c"},
	{"x = $ 5 per", "unit-expected", "after \"per\""},
	{"x = 5 per 3", "unit-expected", "not \"3\""},
	{"x = a because", "text-expected", "after \"because\""},
	{"x = a because \"b\" \"c\"", "operator-missing", "side by side"},
	{"x = a source \"b\" because \"c\"", "unexpected", "\"because\" does not belong here"},
	{"x = a becuase \"b\"", "word-unknown", "did you mean \"because\"?"},
	{"x = 2026-13-01", "date-impossible", "2026-13-01"},
	{"x = 26-03-01", "", ""},
	{"x = yd 5", "unit-before", "write 5 yd"},
	{"x = 12,000 mm", "number-comma", "1200"},
	// What is no line at all.
	{"order 5", "equals-expected", "after \"order\""},
	{"5 in", "statement-expected", "\"5\""},
	{"\"a\"", "statement-expected", "the text"},
	{"+ 1", "", ""},
	{"stpe \"a\"", "word-unknown", "did you mean \"step\"?"},
}

func TestMistakesOfOneLine(t *testing.T) {
	for _, m := range mistakes {
		f, problems, files := parseText("recipe pad \"Pad\" {\n  before = 1 in\n  " + m.line + "\n  behind = 2 in\n}\n")
		var said []string
		for _, d := range problems.All() {
			said = append(said, d.Code+": "+d.Message+" | "+d.Help)
			if line := files.Place(d.At.Start).Line; line != 3 {
				t.Errorf("%s: reported on line %d: %s", m.line, line, d.Message)
			}
		}
		switch {
		case m.code == "" && len(said) > 0:
			t.Errorf("%s: %q; want no problem", m.line, said)
		case m.code != "" && (len(said) != 1 || !strings.HasPrefix(said[0], m.code+":") || !strings.Contains(said[0], m.told)):
			t.Errorf("%s: %q\n\twant one %s with %q", m.line, said, m.code, m.told)
		}
		checkNeighbours(t, f, m.line)
	}
}

func checkNeighbours(t *testing.T, f *File, line string) {
	t.Helper()
	found := 0
	Walk(f, func(n Node) bool {
		if c, ok := n.(*Cell); ok && (c.Name.Text == "before" || c.Name.Text == "behind") {
			found++
		}
		return true
	})
	if found != 2 {
		t.Errorf("%s: %d of its two neighbours were read", line, found)
	}
}
