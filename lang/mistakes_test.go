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
	{"need a > 1 else cut away", "operator-missing", "\"cut\" and \"away\""},
	{"need a > 1 else 5", "text-expected", "the message after else"},
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
	{"piece top from cover = a by b { up = deep) turn = yes }", "brace-missing", "not \")\""},
	{"piece top from cover = a by b { up = deep] turn = yes }", "brace-missing", "not \"]\""},
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
	{"step \"a {b)} c {d} e\"", "brace-missing", "not \")\""},
	{"step \"a {b {c} d} {e} f\"", "brace-missing", "not \"{\""},
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
	{"x = 1,25 in", "unexpected", "\",\" does not belong"},
	{"x = 1, 250 mm", "unexpected", "\",\" does not belong"},
	{"x = 3 ft yd 5", "operator-missing", "\"ft\" and \"yd\""},
	{"x = (1 + (2) + [3]", "bracket-missing", "\")\" expected"},
	{"x = an_unfinished_name_that_is_far_longer_than_what_a_message_shows 5", "operator-missing", "\"an_unfinished_name_that_is_far_longer_th…\""},
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

// mistakenHeads are declarations, each with the one code and a part of what a reader should meet. The declarations around each must be
// read all the same.
var mistakenHeads = []struct{ source, code, told string }{
	{"unit", "name-expected", "after \"unit\""},
	{"unit = 3 in", "name-expected", "what \"unit\" declares"},
	{"unit 5 = 3 in", "name-expected", "not \"5\""},
	{"unit gross", "equals-expected", "after \"gross\""},
	{"unit gross = 3 in { a = 1 }", "body-misplaced", "belongs to \"unit\""},
	{"unit gross = 3 in\n  5", "operator-missing", "\"in\" and \"5\""},
	{"choice finish", "equals-expected", "choice NAME = WORD"},
	{"choice finish = plain, \"x\"", "name-expected", "not the text"},
	{"choice finish = plain, if", "keyword-as-name", "\"if\""},
	{"kind tape { wide: length }", "colon-expected", "roll, sheet, stick or supply"},
	{"kind tape: { wide: length }", "name-expected", "after \":\""},
	{"kind tape: supply", "brace-missing", "after \"supply\""},
	{"kind tape: supply { wide = 3 in }", "colon-expected", "not \"=\""},
	{"kind tape: supply { wide length }", "colon-expected", "not \"length\""},
	{"kind tape: supply { : length }", "name-expected", "not \":\""},
	{"amend kind tape: supply { wide: length }", "amend-form", "leave out \": supply\""},
	{"material jute { price = $1 }", "colon-expected", "the kind of the material"},
	{"material jute: tape from 2026-01-01 { price = $1 }", "date-without-amend", "only an amendment"},
	{"material jute: tape until 2026-01-01 { price = $1 }", "date-without-amend", "only an amendment"},
	{"amend material jute: tape { price = $1 }", "amend-form", "leave out \": tape\""},
	{"rule : length = 1 in", "name-expected", "what \"rule\" declares"},
	{"rule.wide = 1 in", "name-expected", "not \".\""},
	{"rule flap(c) = 1 in", "colon-expected", "after \"c\""},
	{"rule flap(c: length", "bracket-missing", "after \"length\""},
	{"rule flap(c: length = 1 in): length\n  1 in when c > 2 in\n  2 in otherwise\n}", "brace-missing", "after \"length\""},
	{"rule flap: length 1 in", "operator-missing", "\"length\" and \"1\""},
	{"rule flap: length = 1 in { 2 in otherwise }", "body-misplaced", "belongs to \"rule\""},
	{"rule flap = 1 in", "rule-without-kind", "write: rule flap: length"},
	{"rule flap: length { }", "cases-missing", "FORMULA otherwise"},
	{"rule flap: length { a = 1 in }", "cases-missing", "FORMULA otherwise"},
	{"rule flap: length { 1 in }", "word-expected", "\"when\" or \"otherwise\""},
	{"rule flap: length { + when }", "formula-expected", "not \"+\""},
	{"rule when: length = 1 in", "keyword-as-name", "\"when\""},
	{"amend flap", "amend-without-formula", "or cases in braces"},
	{"amend flap 3 in", "operator-missing", "\"flap\" and \"3\""},
	{"amend flap from = 3 in", "date-expected", "after \"from\""},
	{"amend flap until 2026-01-01 from 2026-01-02 = 3 in", "unexpected", "\"from\" does not belong"},
	{"table strip(a: length) { a | gives }", "colon-expected", "what the table gives"},
	{"table strip(a: length): length", "brace-missing", "after \"length\""},
	{"table strip(a: length): length { }", "heading-missing", "names the parameters"},
	{"table strip(a: length): length { a | 5\n any | 1 in }", "unexpected", "\"5\" does not belong"},
	{"table strip(a: length): length { a | gives | 5\n any | 1 in }", "unexpected", "\"5\" does not belong"},
	{"table strip(a: length): length uniqe { a | gives\n any | 1 in }", "word-unknown", "\"unique\""},
	{"table strip(a: length): length from 2026-01-01 { a | gives\n any | 1 in }", "date-without-amend", "only an amendment"},
	{"amend table strip unique { a | gives\n any | 1 in }", "amend-form", "write: amend table strip"},
	{"amend table strip: length { a | gives\n any | 1 in }", "amend-form", "write: amend table strip"},
	{"table strip(a: length): length { a | gives | because\n any | 1 in | \"so {a}\" }", "text-expected", "a reason is a plain text"},
	{"table strip(a: length): length { a | gives | source\n any | 1 in | \"so {a}\" }", "text-expected", "a source is a plain text"},
	{"table strip(a: length): length { a | gives | source\n any | 1 in | up to 2 in }", "text-expected", "a source is a plain text"},
	{"table strip(a: length): length { a | gives\n any | 1 in, 2 in }", "gives-one-value", "one formula"},
	{"table strip(a: length): length { a | gives\n from 1 in over 2 in | 1 in }", "bound-twice", "same bound twice"},
	{"table strip(a: length): length { a | gives\n under 1 in up to 2 in | 1 in }", "bound-twice", "same bound twice"},
	{"recipe \"Pad\" { a = 1 }", "name-expected", "not the text"},
	{"recipe pad", "brace-missing", "after \"pad\""},
	{"recipe pad \"Pad\"\n  a = 1", "brace-missing", "after the text"},
	{"recipe pad \"Pad\" { make lid }", "statement-misplaced", "\"make\" belongs in an order, not in a recipe"},
	{"recipe pad \"Pad\" { expect a = 1 }", "statement-misplaced", "\"expect\" belongs in a proof"},
	{"price \"x\" { }", "operator-missing", "\"price\" and the text"},
	{"price { ask a: length }", "statement-misplaced", "not in a price"},
	{"caution blades", "formula-expected", "caution NAME \"TEXT\""},
	{"caution blades 5", "text-expected", "what a caution says"},
	{"caution blades cut away", "operator-missing", "\"cut\" and \"away\""},
	{"order { make pad }", "order-id-expected", "after \"order\""},
	{"order 5", "brace-missing", "after \"5\""},
	{"order 5 \"x\" { }", "make-missing", "make RECIPE"},
	{"order 5 \"x\" { wide = 3 in }", "make-missing", "make RECIPE"},
	{"order 5 \"x\" { \"make pad\n }", "text-unterminated", "not closed"},
	{"order 5 \"x\" { make pad;\n }", "semicolon", "leave it out"},
	{"rule flap: length { a = 1 in; }", "semicolon", "leave it out"},
	{"order 5 \"x\" { make }", "name-expected", "after \"make\""},
	{"order 5 \"x\" { make pad, }", "formula-expected", "after \",\""},
	{"order 5 \"x\" { make pad\n make lid }", "make-twice", "join them with part"},
	{"order 5 \"x\" { make pad\n make }", "name-expected", "after \"make\""},
	{"order 5 \"x\" { make pad\n ask a: length }", "statement-misplaced", "not in an order"},
	{"order 5 \"x\" { make pad\n amend a }", "amend-without-formula", "\"=\" and a formula expected"},
	{"proof { expect 1 = 1 }", "text-expected", "after \"proof\""},
	{"proof \"x\" source { expect 1 = 1 }", "text-expected", "after \"source\""},
	{"proof \"x\" { ask a: length }", "statement-misplaced", "not in a proof"},
	{"shop \"x\"", "brace-missing", "after the text"},
	{"shop heron { currency = USD }", "text-expected", "not \"heron\""},
	{"shop \"x\" { currency USD }", "equals-expected", "not \"USD\""},
	{"shopp \"x\" { }", "declaration-unknown", "did you mean \"shop\"?"},
	{"foo", "declaration-expected", "begins with shop, unit"},
	{"foo = 3", "cell-outside", "write: rule foo"},
	{"make pad", "statement-outside", "the braces of an order"},
	{"expect a = b", "statement-outside", "the braces of a proof"},
	{"ask a: length", "statement-outside", "the braces of a recipe"},
	{"}", "brace-extra", "closes nothing"},
	{"\"text\"", "declaration-expected", "the text"},
	{"  rule a: length = 1 in", "declaration-indented", "put it there"},
	{"  order 5 { make pad }", "declaration-indented", "put it there"},
	{"  proof \"a\" { expect b = c }", "declaration-indented", "put it there"},
	{"  price { charge a = $1 }", "declaration-indented", "put it there"},
}

func TestMistakesOfDeclarations(t *testing.T) {
	for _, m := range mistakenHeads {
		f, problems, _ := parseText("unit before = 1 in\n" + m.source + "\nunit behind = 1 in\n")
		var said []string
		for _, d := range problems.All() {
			said = append(said, d.Code+": "+d.Message+" | "+d.Help)
		}
		if len(said) != 1 || !strings.HasPrefix(said[0], m.code+":") || !strings.Contains(said[0], m.told) {
			t.Errorf("%s: %q\n\twant one %s with %q", m.source, said, m.code, m.told)
		}
		units := 0
		for _, d := range f.Decls {
			if u, ok := d.(*UnitDecl); ok && (u.Name.Text == "before" || u.Name.Text == "behind") {
				units++
			}
		}
		if units != 2 {
			t.Errorf("%s: %d of its two neighbours were read", m.source, units)
		}
	}
}
