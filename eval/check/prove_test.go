package check_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// place is one value for each of the parameters n, run, s and w. Lengths are in half inches: every bound that the tests draw is a whole inch,
// so that the halves between stand for all that lies there.
type place struct {
	n, half int
	s       string
	w       bool
}

var smallWords = []string{"woven", "velvet", "vinyl"}

const smallParams = "n: count from 0 to 3, run: length from 0 in to 3 in, s: small, w: yes/no"

// everyPlace lists the whole domain of the parameters.
func everyPlace() []place {
	var all []place
	for n := 0; n <= 3; n++ {
		for half := 0; half <= 6; half++ {
			for _, s := range smallWords {
				all = append(all, place{n, half, s, false}, place{n, half, s, true})
			}
		}
	}
	return all
}

// draw is a source of random tests and conditions.
type draw struct{ *rand.Rand }

// wish is a condition as text, and what it comes to at a place.
type wish struct {
	text  string
	holds func(place) bool
}

func always(place) bool { return true }

// bound draws a bound on a number that counts in steps per unit: an upper one, a lower one, both, or one value.
func (d draw) bound(unit string, steps, most int, at func(place) int) wish {
	lo, hi := d.IntN(most+2)-1, d.IntN(most+2)-1
	low := []wish{{fmt.Sprintf("over %d%s", lo, unit), func(p place) bool { return at(p) > lo*steps }}, {fmt.Sprintf("from %d%s", lo, unit), func(p place) bool { return at(p) >= lo*steps }}}[d.IntN(2)]
	high := []wish{{fmt.Sprintf("under %d%s", hi, unit), func(p place) bool { return at(p) < hi*steps }}, {fmt.Sprintf("up to %d%s", hi, unit), func(p place) bool { return at(p) <= hi*steps }}}[d.IntN(2)]
	switch d.IntN(5) {
	case 0:
		return low
	case 1:
		return high
	case 2:
		return wish{low.text + " " + high.text, func(p place) bool { return low.holds(p) && high.holds(p) }}
	case 3:
		return wish{fmt.Sprintf("%d%s", max(lo, 0), unit), func(p place) bool { return at(p) == max(lo, 0)*steps }}
	}
	return wish{"any", always}
}

func (d draw) word() wish {
	if d.IntN(3) == 0 {
		return wish{"any", always}
	}
	words := []string{smallWords[d.IntN(3)]}
	if more := smallWords[d.IntN(3)]; more != words[0] {
		words = append(words, more)
	}
	return wish{strings.Join(words, ", "), func(p place) bool { return slices.Contains(words, p.s) }}
}

func (d draw) yesNo() wish {
	return []wish{{"any", always}, {"yes", func(p place) bool { return p.w }}, {"no", func(p place) bool { return !p.w }}}[d.IntN(3)]
}

// row draws a row of a table: its fields with bars between.
func (d draw) row() wish {
	tests := []wish{
		d.bound("", 1, 3, func(p place) int { return p.n }), d.bound(" in", 2, 3, func(p place) int { return p.half }), d.word(), d.yesNo(),
	}
	var text []string
	for _, t := range tests {
		text = append(text, t.text)
	}
	return wish{strings.Join(text, " | "), func(p place) bool {
		return !slices.ContainsFunc(tests, func(t wish) bool { return !t.holds(p) })
	}}
}

// condition draws a condition of a rule.
func (d draw) condition(deep int) wish {
	if deep > 0 && d.IntN(3) > 0 {
		x, y := d.condition(deep-1), d.condition(deep-1)
		switch d.IntN(3) {
		case 0:
			return wish{"(" + x.text + ") and (" + y.text + ")", func(p place) bool { return x.holds(p) && y.holds(p) }}
		case 1:
			return wish{"(" + x.text + ") or (" + y.text + ")", func(p place) bool { return x.holds(p) || y.holds(p) }}
		}
		return wish{"not (" + x.text + ")", func(p place) bool { return !x.holds(p) }}
	}
	return d.comparison()
}

func (d draw) comparison() wish {
	k := d.IntN(4)
	word := smallWords[d.IntN(3)]
	op := []string{"<", "<=", "=", ">=", ">"}[d.IntN(5)]
	switch d.IntN(6) {
	case 0:
		return wish{fmt.Sprintf("n %s %d", op, k), func(p place) bool { return ordered(p.n, op, k) }}
	case 1:
		return wish{fmt.Sprintf("%d in %s run", k, op), func(p place) bool { return ordered(2*k, op, p.half) }}
	case 2:
		return wish{"s is " + word, func(p place) bool { return p.s == word }}
	case 3:
		return wish{"s is not " + word, func(p place) bool { return p.s != word }}
	case 4:
		return wish{"w", func(p place) bool { return p.w }}
	}
	return wish{fmt.Sprintf("run %s %d in", op, k), func(p place) bool { return ordered(p.half, op, 2*k) }}
}

func ordered(a int, op string, b int) bool {
	switch op {
	case "<":
		return a < b
	case "<=":
		return a <= b
	case ">":
		return a > b
	case ">=":
		return a >= b
	}
	return a == b
}

// verdict is what is wrong with a list of wishes of which the first that holds wins: whether a place is left over, which wishes take nothing, and
// which two of them hold at once. Lines count from 0.
type verdict struct {
	Gap      bool
	Idle     []int
	Overlaps [][2]int
}

// enumerate finds what is wrong by trying every place.
func enumerate(rows []wish, unique bool) verdict {
	var v verdict
	first := make([]bool, len(rows))
	some := make([]bool, len(rows))
	both := map[[2]int]bool{}
	for _, p := range everyPlace() {
		var hold []int
		for i, r := range rows {
			if r.holds(p) {
				hold = append(hold, i)
				some[i] = true
			}
		}
		if len(hold) == 0 {
			v.Gap = true
			continue
		}
		first[hold[0]] = true
		for i := range hold {
			for j := range i {
				both[[2]int{hold[i], hold[j]}] = true
			}
		}
	}
	v.note(first, some, both, unique)
	return v
}

func (v *verdict) note(first, some []bool, both map[[2]int]bool, unique bool) {
	for i := range first {
		if !some[i] || !unique && !first[i] {
			v.Idle = append(v.Idle, i)
		}
		v.Gap = v.Gap && some[i] // one mistake, one problem
		for j := range i {
			if unique && both[[2]int{i, j}] {
				v.Overlaps = append(v.Overlaps, [2]int{i, j})
			}
		}
	}
}

// proved reads a verdict from the checker's problems; wish 0 stands on a given line, and each on a line of its own.
func proved(t *testing.T, files *diag.Files, problems []diag.Diagnostic, firstLine int) verdict {
	t.Helper()
	var v verdict
	line := func(at diag.Span) int { return files.Place(at.Start).Line - firstLine }
	for _, d := range problems {
		switch d.Code {
		case "table-gap", "case-gap":
			v.Gap = true
		case "row-unreachable", "case-unreachable":
			v.Idle = append(v.Idle, line(d.At))
		case "row-overlap":
			for _, other := range d.Related {
				v.Overlaps = append(v.Overlaps, [2]int{line(d.At), line(other.At)})
			}
		default:
			t.Fatalf("%s: %s", d.Code, d.Message)
		}
	}
	return v
}

func checkFiles(text string) (*diag.Files, []diag.Diagnostic) {
	files, problems := &diag.Files{}, &diag.List{}
	check.Check(files, []*lang.File{lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, problems)}, problems)
	return files, problems.All()
}

const smallChoice = "choice small = woven, velvet, vinyl\n"

// Gaps, rows that nothing reaches and overlaps are found exactly where trying every value finds them.
func TestTablesAgainstEnumeration(t *testing.T) {
	gaps := 0
	for seed := range uint64(3000) {
		d := draw{rand.New(rand.NewPCG(seed, 1))}
		unique := seed%2 == 0
		text := smallChoice + "table lip(" + smallParams + "): length" + map[bool]string{true: " unique", false: ""}[unique] + " {\n n | run | s | w | gives\n"
		var rows []wish
		for range 1 + d.IntN(7) {
			rows = append(rows, d.row())
			text += " " + rows[len(rows)-1].text + " | 1 in\n"
		}
		files, problems := checkFiles(text + "}\n")
		want := enumerate(rows, unique)
		want.exempt(rows)
		if diff := cmp.Diff(want, proved(t, files, problems, 4)); diff != "" {
			t.Fatalf("seed %d: tried (-) and proved (+) differ:\n%s\n%s", seed, diff, text)
		}
		gaps += map[bool]int{true: 1}[want.Gap]
	}
	t.Logf("%d tables of 3000 have gaps", gaps)
}

// exempt takes out rows of any alone, which may stand last though nothing is left for them.
func (v *verdict) exempt(rows []wish) {
	v.Idle = slices.DeleteFunc(v.Idle, func(i int) bool { return rows[i].text == "any | any | any | any" })
	if len(v.Idle) == 0 {
		v.Idle = nil
	}
}

func TestCasesAgainstEnumeration(t *testing.T) {
	whole := 0
	for seed := range uint64(3000) {
		d := draw{rand.New(rand.NewPCG(seed, 2))}
		text := smallChoice + "rule lip(" + smallParams + "): length {\n wide = run >= 2 in\n"
		var cases []wish
		for range 1 + d.IntN(5) {
			k := d.condition(3)
			if d.IntN(4) == 0 {
				inner := k
				k = wish{"wide and (" + inner.text + ")", func(p place) bool { return p.half >= 4 && inner.holds(p) }}
			}
			cases = append(cases, k)
			text += " 1 in when " + k.text + "\n"
		}
		files, problems := checkFiles(text + "}\n")
		want := enumerate(cases, false)
		if diff := cmp.Diff(want, proved(t, files, problems, 4)); diff != "" {
			t.Fatalf("seed %d: tried (-) and proved (+) differ:\n%s\n%s", seed, diff, text)
		}
		whole += map[bool]int{false: 1}[want.Gap]
	}
	t.Logf("%d rules of 3000 are complete", whole)
}

// Amendments of one day clash exactly where some place meets a case of both.
func TestClashesAgainstEnumeration(t *testing.T) {
	clashes := 0
	for seed := range uint64(2000) {
		d := draw{rand.New(rand.NewPCG(seed, 3))}
		x, y := d.condition(2), d.condition(2)
		text := smallChoice + "rule lip(" + smallParams + "): length = 1 in\n"
		for _, k := range []wish{x, y} {
			text += "amend lip(n, run, s, w) from 2026-03-01 {\n 2 in when " + k.text + "\n}\n"
		}
		_, problems := checkFiles(text)
		want := slices.ContainsFunc(everyPlace(), func(p place) bool { return x.holds(p) && y.holds(p) })
		got := slices.ContainsFunc(problems, func(d diag.Diagnostic) bool { return d.Code == "amend-clash" })
		if got != want {
			t.Fatalf("seed %d: clash %v, want %v:\n%s", seed, got, want, text)
		}
		clashes += map[bool]int{true: 1}[want]
	}
	t.Logf("%d pairs of 2000 clash", clashes)
}

// Where conditions compare one parameter with another, a gap may be reported that no value meets, but none is missed.
func TestNoGapIsMissed(t *testing.T) {
	found := 0
	for seed := range uint64(2000) {
		d := draw{rand.New(rand.NewPCG(seed, 4))}
		text := "rule lip(a: count from 0 to 3, b: count from 0 to 3): length {\n"
		var cases []func(a, b int) bool
		for range 1 + d.IntN(4) {
			op, other := []string{"<", "<=", "=", ">=", ">"}[d.IntN(5)], d.IntN(4)
			switch d.IntN(3) {
			case 0:
				text += fmt.Sprintf(" 1 in when a %s b\n", op)
				cases = append(cases, func(a, b int) bool { return ordered(a, op, b) })
			case 1:
				text += fmt.Sprintf(" 1 in when b %s a and not (a = %d)\n", op, other)
				cases = append(cases, func(a, b int) bool { return ordered(b, op, a) && a != other })
			case 2:
				text += fmt.Sprintf(" 1 in when a + b %s %d\n", op, other)
				cases = append(cases, func(a, b int) bool { return ordered(a+b, op, other) })
			}
		}
		files, problems := checkFiles(text + "}\n")
		got := proved(t, files, problems, 2)
		gap, idle := tryPairs(cases)
		if gap && !got.Gap && len(got.Idle) == 0 {
			t.Fatalf("seed %d: a gap is missed:\n%s", seed, text)
		}
		for _, i := range got.Idle {
			if !idle[i] {
				t.Fatalf("seed %d: case %d is reached:\n%s", seed, i, text)
			}
		}
		found += map[bool]int{true: 1}[got.Gap && gap]
	}
	t.Logf("%d of 2000 have gaps", found)
}

func tryPairs(cases []func(a, b int) bool) (gap bool, idle []bool) {
	idle = slices.Repeat([]bool{true}, len(cases))
	for a := range 4 {
		for b := range 4 {
			i := slices.IndexFunc(cases, func(k func(a, b int) bool) bool { return k(a, b) })
			if i < 0 {
				gap = true
				continue
			}
			idle[i] = false
		}
	}
	return gap, idle
}

// A rule may bear any name that is not the language's own: what calls it is never taken for another formula.
func TestRulesNamedLikeOtherFormulas(t *testing.T) {
	const text = `
rule %s(xs: list of length, n: count): length = 4 in
rule lip(xs: list of length): length {
  1 in when %s > 2 in
  2 in when %s <= 2 in
}
`
	for _, tt := range []struct{ name, x, y string }{
		{"item", "xs[1]", "item(xs, 1)"},
		{"list", "list(xs, 1)", "[2 in, 3 in][1]"},
		{"var0", "xs[1]", "var0(xs, 1)"},
	} {
		_, problems := checkText(fmt.Sprintf(text, tt.name, tt.x, tt.y))
		if len(problems) != 1 || problems[0].Code != "case-gap" {
			t.Errorf("%s and %s are not told apart: %v", tt.x, tt.y, problems)
		}
	}
}
