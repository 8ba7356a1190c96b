package lang

import (
	"errors"
	"strings"
	"testing"
	"time"

	"squab/lang/diag"
)

// What must neither crash, hang nor pass unseen; a 0 in the limits is the default.
func TestHostileSources(t *testing.T) {
	cell := func(formula string) string { return "recipe pad \"Pad\" {\n  a = " + formula + "\n}\n" }
	many := func(s string) string { return strings.Repeat(s, 100_000) }
	for _, test := range []struct{ name, source, code string }{
		{"brackets", cell(many("(") + "1" + many(")")), "nesting-too-deep"},
		{"brackets closed as braces", cell(many(many("(")[:10]) + many(many("}")[:10])), "nesting-too-deep"},
		{"brackets over lines", cell(many("(\n")), "nesting-too-deep"},
		{"lists", cell(many("[")), "nesting-too-deep"},
		{"braces", "rule a: length " + many("{"), "nesting-too-deep"},
		{"holes", cell(many(`"{`)), "nesting-too-deep"},
		{"minuses", cell(many("- ") + "1"), "formula-too-long"},
		{"nots", cell("yes and " + many("not ") + "yes"), "formula-needs-brackets"},
		{"ifs", cell(many("if ")), "formula-too-long"},
		{"sum", cell(many("1 + 1 + ") + "1"), "formula-too-long"},
		{"fields", cell("a.a" + many(".a")), "formula-too-long"},
		{"kinds", "rule a: " + many("list of ") + "length", "kind-too-deep"},
		{"digits", cell(strings.Repeat("7", 10_000)), "number-too-long"},
		{"fraction digits", cell("1 " + strings.Repeat("7", 10_000) + "/3"), "number-too-long"},
		{"stray characters", many("@?"), "problems-too-many"},
		{"bytes", strings.Repeat("\xff\x00", 1000), "problems-too-many"},
		{"closers", "unit a = 1 in\n" + many("}"), "brace-extra"},
		{"one quotation mark", `"`, "text-unterminated"},
		{"one brace", "{", "declaration-expected"},
		{"one keyword", "rule", "name-expected"},
		{"options", "choice a = " + many("b, "), "name-expected"},
		{"bars", "table a(b: length): length {\n b | gives\n" + many("|") + "\n}", "field-empty"},
		{"lines", many("a\n"), "declaration-expected"},
		{"bad lines", "recipe a \"A\" {\n" + many("a\n") + "}\n", "problems-too-many"},
		{"bad rows", "table a(b: length): length {\n b | gives\n" + many("any | | 1\n") + "}\n", "problems-too-many"},
		{"warnings", cell(many("4-5/8 + ") + "1"), "problems-too-many"},
		{"double bars", cell(many("a ") + "1 | 2 " + many("|| ")), "operator-missing"},
		{"carriage returns", "unit a = 1 in" + many("\r") + "#", "line-end"},
		{"large", strings.Repeat("# comment\n", 5<<20), "file-too-large"},
	} {
		t.Run(test.name, func(t *testing.T) {
			started := time.Now()
			_, problems, _ := parseText(test.source)
			if took := time.Since(started); took > 30*time.Second {
				t.Errorf("took %v", took)
			}
			codes := map[string]bool{}
			for _, d := range problems.All() {
				codes[d.Code] = true
			}
			if !codes[test.code] {
				t.Errorf("codes %v, want %s", codes, test.code)
			}
		})
	}
}

func TestEmptySources(t *testing.T) {
	for _, source := range []string{"", "\n", "\uFEFF", "# only a comment", " \t\r\n", "# one\r\r\n# two\r"} {
		f, problems, _ := parseText(source)
		if f == nil || len(f.Decls) != 0 || problems.Len() != 0 {
			t.Errorf("%q: %v", source, problems.All())
		}
	}
}

func TestLimitsCanBeSet(t *testing.T) {
	text := "rule a: number = ((1234))\n"
	for _, test := range []struct {
		limits Limits
		code   string
	}{
		{Limits{}, ""},
		{Limits{MaxBytes: 10}, "file-too-large"},
		{Limits{MaxDepth: 1}, "nesting-too-deep"},
		{Limits{MaxDigits: 3}, "number-too-long"},
	} {
		var files diag.Files
		var problems diag.List
		Parse(files.Add("a", text, diag.House), test.limits, &problems)
		code := ""
		for _, d := range problems.All() {
			code += d.Code
		}
		if code != test.code {
			t.Errorf("%+v: %q, want %q", test.limits, code, test.code)
		}
	}
}

// Section 12 of the reference: as many as a limit says are read, and one more is refused.
func TestLimitsOfTheReference(t *testing.T) {
	times := func(n int, before, inner, after string) string {
		return strings.Repeat(before, n) + inner + strings.Repeat(after, n)
	}
	for _, test := range []struct {
		name   string
		source func(n int) string
		limit  int
		code   string
	}{
		{"brackets", func(n int) string { return "rule a: number = " + times(n, "(", "1", ")") }, 200, "nesting-too-deep"},
		{"braces and brackets", func(n int) string { return "rule a: number {\n" + times(n-1, "[", "1", "]") + " otherwise\n}" }, 200, "nesting-too-deep"},
		{"holes", func(n int) string { return "caution a " + times(n, `"{`, "1", `}"`) }, 200, "nesting-too-deep"},
		{"nested operations", func(n int) string { return "rule a: number = " + times(n, "- ", "1", "") }, 1000, "formula-too-long"},
		{"nested conditions", func(n int) string { return "rule a: number = " + times(n, "if b then 1 else ", "1", "") }, 1000, "formula-too-long"},
		{"additions", func(n int) string { return "rule a: number = " + times(n, "", "1", " + 1") }, 100_000, "formula-too-long"},
		{"fields", func(n int) string { return "rule a: number = " + times(n, "", "b", ".c") }, 100_000, "formula-too-long"},
		{"roundings", func(n int) string { return "rule a: number = " + times(n, "", "b", " rounded to 1") }, 100_000, "formula-too-long"},
		{"lists of lists", func(n int) string { return "rule a: " + times(n, "list of ", "length", "") }, 8, "kind-too-deep"},
		{"digits", func(n int) string { return "rule a: number = " + times(n, "", "", "7") }, 1000, "number-too-long"},
		{"digits of a fraction", func(n int) string { return "rule a: number = 1 1/" + times(n-2, "", "", "7") }, 1000, "number-too-long"},
		{"bytes", func(n int) string { return "unit a = 1 in" + times(n-len("unit a = 1 in"), "", "", " ") }, 16 << 20, "file-too-large"},
	} {
		if _, problems, _ := parseText(test.source(test.limit)); problems.Len() > 0 {
			t.Errorf("%d %s: %s", test.limit, test.name, problems.All()[0].Message)
		}
		_, problems, _ := parseText(test.source(test.limit + 1))
		if all := problems.All(); len(all) != 1 || all[0].Code != test.code {
			t.Errorf("%d %s: %v, want %s", test.limit+1, test.name, all, test.code)
		}
	}
}

// Past so many mistakes a file is told to have too many, once.
func TestProblemsAreBounded(t *testing.T) {
	for _, test := range []struct {
		name, source string
		most         int
	}{
		{"lines", "recipe a \"A\" {\n" + strings.Repeat("a\n", 1500) + "}\n", 1000},
		{"warnings", "rule a: number = 1" + strings.Repeat(" + 4-5/8", 1500) + "\n", 1000},
		{"signs", "rule a: number = 1" + strings.Repeat(" @ ?", 100) + "\n", 100},
	} {
		_, problems, _ := parseText(test.source)
		last := 0
		for _, d := range problems.All() {
			if d.Code == "problems-too-many" {
				last++
			}
		}
		if last != 1 || problems.Len() != test.most+1 {
			t.Errorf("%s: %d problems, %d times too many; want %d and 1", test.name, problems.Len(), last, test.most+1)
		}
	}
}

// A long list is no deep formula: what the language allows must not be refused here.
func TestLongListsAreRead(t *testing.T) {
	_, problems, _ := parseText("rule a: list of length = [" + strings.Repeat("1 in + b, ", 10_000) + "]\n")
	if problems.Len() > 0 {
		t.Errorf("refused: %v", problems.All())
	}
}

// What the grammar cannot say in words of its own is still said plainly.
func TestUnknownErrorsAreSaid(t *testing.T) {
	var files diag.Files
	var problems diag.List
	r := newReader(files.Add("a", "unit a = 1 in\n", diag.House), Limits{}, &problems)
	r.report(errors.New("too many iterations of SomeSyntax"), stretch{0, 3})
	if all := problems.All(); len(all) != 1 || all[0].Code != "line-too-long" || strings.Contains(all[0].Message, "Syntax") {
		t.Errorf("problems: %v", all)
	}
}
