package trace_test

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"squab/eval/trace"
)

// deep is a book in which so many cells rest each on the one before.
func deep(cells int) string {
	var b strings.Builder
	for i := 1; i <= cells; i++ {
		fmt.Fprintf(&b, "  c%d = c%d + wide + 1 in\n", i, i-1)
	}
	return "recipe pad {\n  ask wide: length = 20 in\n  c0 = 1 in\n" + b.String() + "}\norder 1 {\n  make pad\n  date = 2026-04-02\n}\n"
}

// However deep a trace goes, it stays within the page, each derivation stands once, and it grows with the cells and no faster.
func TestDeepTracesStayWithinThePage(t *testing.T) {
	for _, cells := range []int{5, 18, 19, 20, 21, 22, 400} {
		p := programOf(t, false, deep(cells))
		r := workedOut(t, p)
		n, err := trace.Explain(r.Sheet, r, fmt.Sprintf("c%d", cells))
		if err != nil {
			t.Fatal(err)
		}
		text := trace.Text(n, p.Files, 80)
		for line := range strings.Lines(text) {
			if wide := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); wide > 80 {
				t.Fatalf("%d cells: a line is %d columns wide: %s", cells, wide, line)
			}
		}
		if lines := strings.Count(text, "\n"); lines > 4*cells+10 {
			t.Errorf("%d cells take %d lines", cells, lines)
		}
		for i := range cells {
			if formula := fmt.Sprintf("= c%d + wide + 1 in\n", i); strings.Count(text, formula) != 1 {
				t.Errorf("%d cells: %q stands %d times", cells, formula, strings.Count(text, formula))
			}
		}
		if strings.Contains(text, "(below)") != (cells > 21) {
			t.Errorf("%d cells: something has a tree of its own below: %v\n%s", cells, cells <= 21, text)
		}
	}
}

// What is named again says whether it stands above or below.
func TestWhatIsNamedAgainSaysWhere(t *testing.T) {
	p := programOf(t, false, strings.Replace(deep(40), "  c1 = ", "  end = c40 + c1\n  c1 = ", 1))
	r := workedOut(t, p)
	n, err := trace.Explain(r.Sheet, r, "end")
	if err != nil {
		t.Fatal(err)
	}
	text := trace.Text(n, p.Files, 80)
	first, rest, _ := strings.Cut(text, "\n\n")
	for _, want := range []string{"\n└ c1 = 22 in (below)", "wide = 20 in (below)"} {
		if !strings.Contains(first, want) {
			t.Errorf("%q is not said:\n%s", want, text)
		}
	}
	if !strings.Contains(rest, "wide = 20 in (above)") || !strings.Contains(rest, "= c0 + wide + 1 in") {
		t.Errorf("what stands below is not there:\n%s", text)
	}
}

// Two calls of a rule that come to the same stand under their own operands, and what the second was made of is told with it.
func TestLikeCallsKeepTheirOwnArguments(t *testing.T) {
	p := programOf(t, false, `
rule edge: length = 1 1/2 in
rule plus(w: length): length = w + edge
recipe pad {
  ask wide: length = 40 in
  half = wide / 2
  drop = plus(wide) + plus(half * 2) + plus(39 1/2 in rounded up to 1 in) + plus(wide)
}
order 1 {
  make pad
  date = 2026-04-02
}
`)
	r := workedOut(t, p)
	n, err := trace.Explain(r.Sheet, r, "drop")
	if err != nil {
		t.Fatal(err)
	}
	want := `drop = 166 in [house.squab:7]
│ = plus(wide) + plus(half * 2) + plus(39 1/2 in rounded up to 1 in) +
│   plus(wide)
├ plus(40 in) = 41 1/2 in [house rule, house.squab:3]
│ │ = w + edge
│ │ where w = 40 in
│ ├ wide = 40 in [default, house.squab:5]
│ └ edge = 1 1/2 in [house rule, house.squab:2]
├ plus(40 in) = 41 1/2 in (above)
│ └ half = 20 in [house.squab:6]
│   │ = wide / 2
│   └ wide = 40 in (above)
└ plus(40 in) = 41 1/2 in (above)
    rounded up to 1 in: 39 1/2 in, so 1/2 in more
`
	if got := trace.Text(n, p.Files, 80); got != want {
		t.Errorf("got:\n%swant:\n%s", got, want)
	}
	holdTraces(t, p)
}
