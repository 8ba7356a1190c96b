package lang

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
	"squab/lang/diag/diagtest"
)

// Several mistakes in one file, each reported once and none of them hiding what follows.
func TestEveryMistakeIsReported(t *testing.T) {
	sources := map[string]string{
		"a recipe": `recipe pad "Pad" {
  ask wide length                    # want colon-expected
  ask deep: length from 8 in         # want word-expected "to"
  edge = seam(cover                  # want bracket-missing
  pice top from cover = wide by deep # want word-unknown "pice"
  gap  = wide / (straps + 1) +       # want formula-expected
  piece top of cover = wide by deep  # want word-expected "from"
  use 2 in from thread               # want word-expected "of"
  step = 4 in                        # want keyword-as-name
  work sewing = 4 min when           # want formula-expected
  fine = wide
}
`,
		"several declarations": `unit gross 144 each                # want equals-expected
rule fold: length = 1 in +           # want formula-expected
rule flap(c: cloth): length {        # want brace-missing
  5/8 in  whn c.stuff is vinyl       # want word-unknown "whn"
  1/2 in  otherwise

table strip(cord: length): length {
  cord | gives
  up 1/8 in | 1 in                   # want operator-missing
  any | 2 in | 3 in                  # want row-too-long
  any |                              # want row-without-gives
}
}                                    # want brace-extra
order 7 {
  make pad, 2                        # want word-expected "off"
  wide == 4 in                       # want equals-twice
  deep = 4 in ;                      # want semicolon
  wid: 3 in                          # want equals-expected
}
unit hide = 1 each
`,
	}
	for name, text := range sources {
		t.Run(name, func(t *testing.T) {
			var files diag.Files
			var problems diag.List
			src := files.Add(name, text, diag.House)
			Parse(src, Limits{}, &problems)
			diagtest.Compare(t, src, problems.All())
		})
	}
}

// Where a line is not finished, `name =` is the next cell if it stands no deeper than the line, and a comparison if it stands deeper.
func TestCellsBehindUnfinishedLines(t *testing.T) {
	for _, test := range []struct {
		name, lines string
		cells       string
		problems    int
	}{
		{"as deep", "  a = 1 +\n  b = 2\n", "a b", 1},
		{"less deep", "    a = 1 +\n  b = 2\n", "a b", 1},
		{"deeper", "  a = 1 +\n    b = 2\n", "a", 0},
		{"as deep, in brackets", "  a = f(1,\n  b = 2\n", "a b", 1},
		{"less deep, in brackets", "    a = f(1,\n  b = 2\n", "a b", 1},
		{"deeper, in brackets", "  a = f(1,\n    b = 2)\n", "a", 0},
		{"after a whole formula", "  a = 1\n    b = 2\n", "a b", 0},
		{"a field of a word, in column 1", "  a = 1 +\nprice.wide\n", "a", 0},
		{"a cell that is called as a declaration, in column 1", "  a = 1\nprice = 2\n", "a price", 0},
		{"under a statement", "  use 2 in of\n  b = 2\n", "b", 1},
	} {
		f, problems, _ := parseText("recipe pad \"Pad\" {\n" + test.lines + "}\n")
		var cells []string
		Walk(f, func(n Node) bool {
			if c, ok := n.(*Cell); ok {
				cells = append(cells, c.Name.Text)
			}
			return true
		})
		if got := strings.Join(cells, " "); got != test.cells || problems.Len() != test.problems {
			t.Errorf("%s: cells %q, problems %v; want %q and %d", test.name, got, problems.All(), test.cells, test.problems)
		}
	}
}

// Where a case ends when no line ends there.
func TestCasesOnOneLine(t *testing.T) {
	for _, test := range []struct {
		body   string
		locals []string
		cases  []string
	}{
		{`1 in when c is d 2 in otherwise`, nil, []string{"1 in when c is d", "2 in otherwise"}},
		{`1 in when c is d because "so" b otherwise`, nil, []string{`1 in when c is d because "so"`, "b otherwise"}},
		{`1 in when c is d source "there" $2 otherwise because "so"`, nil, []string{`1 in when c is d source "there"`, `$2 otherwise because "so"`}},
		{`"one" when c is d "two" otherwise`, nil, []string{`"one" when c is d "two" otherwise`}},
		{"a = 1 in b = 2 in\na + b otherwise", []string{"a = 1 in", "b = 2 in"}, []string{"a + b otherwise"}},
		{"1 in otherwise 2 in otherwise", nil, []string{"1 in otherwise", "2 in otherwise"}},
		{"b = 1 in when c\n2 in otherwise", nil, []string{"b = 1 in when c", "2 in otherwise"}},
		{"b = 1 in otherwise", nil, []string{"b = 1 in otherwise"}},
		{"1\n+ 2 when c\n-3 in otherwise", nil, []string{"1\n+ 2 when c", "-3 in otherwise"}},
		{"1\n- 2 when c\n- 3 > 0\n-c when d because \"so\"\n-(4) otherwise", nil, []string{"1\n- 2 when c\n- 3 > 0", `-c when d because "so"`, "-(4) otherwise"}},
	} {
		for _, head := range []string{"rule a(c: stuff): length", "amend a(c) from 2026-03-01"} {
			locals, cases := localsAndCases(head + " {\n" + test.body + "\n}\n")
			if diff := cmp.Diff([][]string{test.locals, test.cases}, [][]string{locals, cases}); diff != "" {
				t.Errorf("%s of %s (-want +got):\n%s", test.body, head, diff)
			}
		}
	}
}

func localsAndCases(text string) (locals, cases []string) {
	f, _, files := parseText(text)
	Walk(f, func(n Node) bool {
		switch n := n.(type) {
		case *Cell:
			locals = append(locals, files.Text(n.At))
		case *Case:
			cases = append(cases, files.Text(n.At))
		}
		return true
	})
	return locals, cases
}

// A row's fields go by the heading, in whatever order that names them.
func TestFieldsOfRows(t *testing.T) {
	f, problems, _ := parseText("table a(b: length, c: stuff): length {\n source | c | gives | b | because\n \"there\" | d, e | 1 in | over 1 in up to 2 in | \"so\"\n | any | 2 in | from 0 in under 1 in\n}\n")
	if problems.Len() > 0 {
		t.Fatal(problems.All())
	}
	rows := f.Decls[0].(*TableDecl).Rows
	got := []string{strings.Join(strings.Fields(dump(*rows[0])), " "), strings.Join(strings.Fields(dump(*rows[1])), " ")}
	want := []string{
		`(Row Tests:[ (Test Values:[ d e]) (Test Low:(Measure Parts:[(MeasurePart Number:"1" Unit:in)]) High:(Measure Parts:[(MeasurePart Number:"2" Unit:in)]) HighIn:true) ]` +
			` Gives:(Measure Parts:[(MeasurePart Number:"1" Unit:in)]) Because:"so" Source:"there")`,
		`(Row Tests:[ (Test Any:true) (Test Low:(Measure Parts:[(MeasurePart Number:"0" Unit:in)]) High:(Measure Parts:[(MeasurePart Number:"1" Unit:in)]) LowIn:true) ]` +
			` Gives:(Measure Parts:[(MeasurePart Number:"2" Unit:in)]))`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// What belongs in which body, and where a tolerance may stand, by sections 8 to 11 of the reference.
func TestLinesOfBodies(t *testing.T) {
	bodies := map[string]string{
		"shop": `shop "A" {`, "material": "material a: b {", "recipe": `recipe a "A" {`, "price": "price {", "order": "order 5 {\n  make a", "proof": "proof \"A\" {\n  make a",
	}
	for line, belong := range map[string]string{
		"b = 1 in": "shop material recipe price order proof", "b = 1 in because \"so\"": "shop material recipe price order proof",
		"b = 1 in tolerance 1/8 in": "material order proof",
		"ask b: length":             "recipe", "ask b: length tolerance 1%": "recipe", `need b else "c"`: "recipe", "piece b from c = d by e": "recipe", "marks b on c = d": "recipe",
		"use 1 in of b": "recipe", "work b = 1 min": "recipe", `step "b"`: "recipe", "caution b": "recipe", "part b = c": "recipe",
		"charge b = $1": "recipe price", "amend b = 1 in": "order proof", "expect b = 1 in": "proof",
	} {
		for body, head := range bodies {
			_, problems, _ := parseText(head + "\n  " + line + "\n}\n")
			if want := strings.Contains(" "+belong+" ", " "+body+" "); want != (problems.Len() == 0) {
				t.Errorf("%s in a %s: %v, want it to belong: %v", line, body, problems.All(), want)
			}
		}
	}
}

// A formula outside a body may go on in lines of its own, even with a word that elsewhere begins a declaration.
func TestFormulasOverLines(t *testing.T) {
	for _, text := range []string{
		"rule a: length = 2 *\n  price\nunit b = 1 in\n",
		"rule a: length =\n  unit\norder 5 {\n  make pad\n}\n",
		"rule a: length = f(\n  material, 2\n  )\nunit b = 1 in\n",
	} {
		if f, problems, _ := parseText(text); len(f.Decls) != 2 || problems.Len() > 0 {
			t.Errorf("%d declarations and %v in\n%s", len(f.Decls), problems.All(), text)
		}
	}
}

// What could be read of a broken file stays, so that names in other places are not unknown for it.
func TestNamesSurviveMistakes(t *testing.T) {
	f, problems, _ := parseText(`recipe pad "Pad" {
  ask wide: length from
  edge = seam(cover
  piece top from cover = wide by
  charge far = when
  part seat = cushion { wide = 3 in, }
}
caution blades 5
rule fold: length = (
unit hide = 1 each
`)
	if problems.Len() != 7 {
		t.Errorf("%d problems, want 7: %v", problems.Len(), problems.All())
	}
	names := map[string]bool{}
	Walk(f, func(n Node) bool {
		switch n := n.(type) {
		case *RecipeDecl:
			names[n.Name.Text] = true
		case *Ask:
			names[n.Name.Text] = true
		case *Cell:
			names[n.Name.Text] = true
		case *Piece:
			names[n.Name.Text] = true
		case *Charge:
			names[n.Name.Text] = true
		case *Part:
			names[n.Name.Text] = true
		case *CautionDecl:
			names[n.Name.Text] = true
		case *RuleDecl:
			names[n.Name.Text] = true
		case *UnitDecl:
			names[n.Name.Text] = true
		}
		return true
	})
	for _, name := range []string{"pad", "wide", "edge", "top", "far", "seat", "blades", "fold", "hide"} {
		if !names[name] {
			t.Errorf("%s is lost", name)
		}
	}
}

// Each part of a source that can be the last of a line stands within its line.
func TestSpansReachTheLastWord(t *testing.T) {
	for _, line := range []string{
		`a = 1 in`, `a = 1 in because "so"`, `a = 1 in because "so" source "there"`, `a = 1 in source "there"`,
		`ask a: length`, `ask a: length from 1 in to 2 in`, `ask a: length = 1 in`, `ask a: length tolerance +1/8 in -1/4 in`, `ask a: length "help"`,
		`ask a: length = 1 in "help" because "so"`, `ask a: list of money per each`, `need a else "no"`, `piece a from b = c by d`,
		`piece a from b, 2 off = c by d when e because "so" { up = deep turn = yes }`, `marks a on b, c = d when e { hole = 1 in }`, `use 1 in of a when b`,
		`work a at b = 1 min, setup 2 min when c because "so"`, `charge a = $1 because "so"`, `step "a {b}" when c`, `caution a, b`, `part a, 2 off = b { c = 1 in }`,
	} {
		f, problems, files := parseText("recipe pad \"Pad\" {\n  " + line + "\n}\n")
		stmts := f.Decls[0].(*RecipeDecl).Stmts
		if len(stmts) != 1 || problems.Len() > 0 {
			t.Fatalf("%s: %d statements, %v", line, len(stmts), problems.All())
		}
		if got := files.Text(stmts[0].Span()); got != line {
			t.Errorf("%s: spans %q", line, got)
		}
	}
}

// The bodies, parameters and fields of declarations, whose places no line gives.
func TestSpansOfParts(t *testing.T) {
	f, problems, files := parseText(`kind tape: supply {
  wide: length from 1 in to 2 in = 1 in tolerance 1% "how wide" because "so" source "there"
  deep: length "how deep"
}
rule a(b: length from 1 in to 2 in, c: count = 1): length = b because "so" source "there"
rule d(e: cloth): length { 1 in when e.f  2 in otherwise because "so" }
amend a(b) = 1 in source "there"
`)
	if problems.Len() > 0 {
		t.Fatal(problems.All())
	}
	var got []string
	Walk(f, func(n Node) bool {
		switch n.(type) {
		case *Param, *Body, *Case, *Tolerance:
			got = append(got, files.Text(n.Span()))
		}
		return true
	})
	want := []string{
		`wide: length from 1 in to 2 in = 1 in tolerance 1% "how wide" because "so" source "there"`, "1%", `deep: length "how deep"`,
		"b: length from 1 in to 2 in", "c: count = 1", `b because "so" source "there"`,
		"e: cloth", `{ 1 in when e.f  2 in otherwise because "so" }`, "1 in when e.f", `2 in otherwise because "so"`, `1 in source "there"`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the spans differ (-want +got):\n%s", diff)
	}
}

func TestSpansOfDeclarations(t *testing.T) {
	f, _, files := parseText("# a page\nunit hide = 1 each  # whole\n\nrecipe pad \"Pad\" {\n  a = 1 in because \"so\"\n}\n")
	want := []string{"unit hide = 1 each", "recipe pad \"Pad\" {\n  a = 1 in because \"so\"\n}"}
	for i, d := range f.Decls {
		if got := files.Text(d.Span()); got != want[i] {
			t.Errorf("the declaration spans %q, want %q", got, want[i])
		}
	}
	if len(f.Comments) != 2 || !f.Comments[0].OwnLine || f.Comments[1].OwnLine || f.Comments[1].Text != "# whole" {
		t.Errorf("comments: %+v", f.Comments)
	}
	cell := f.Decls[1].(*RecipeDecl).Stmts[0]
	path := pathTo(f, cell.(*Cell).Value.Span().Start)
	if len(path) != 4 || path[2] != Node(cell) {
		t.Errorf("the path to the formula has %d nodes, want file, recipe, cell, measure", len(path))
	}
}
