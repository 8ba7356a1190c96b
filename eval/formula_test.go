package eval_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/evaltest"
)

// trade is a small book that the tables below add to.
const trade = evaltest.Trade

// pad is a recipe with the lines of a test in it, and an order for it.
func pad(lines, rules string) string {
	return trade + rules + `
recipe pad {
  ask wide: length from 1 in to 20 ft
  ask n: count from -5 to 50 = 3
  ask cover: cloth = harbour_tweed
  ask welted: yes/no = no
` + lines + `
}
order 1 {
  make pad
  wide = 24 5/8 in
}
`
}

func TestFormulas(t *testing.T) {
	tests := []struct{ name, formula, want string }{
		{"sum of fractions", "wide + 3/8 in", "25 in"},
		{"exact where a float is not", "1 yd / 36 * 10 - 10 in", "0 in"},
		{"mixed systems", "254 mm + wide", "34 5/8 in"},
		{"a product is an area", "wide * 2 in", "49 1/4 in2"},
		{"thirds", "wide / 3 * 3", "24 5/8 in"},
		{"modulo has the sign of the divisor", "-7 in mod 3 in", "2 in"},
		{"up", "wide rounded up to 1/4 in", "24 3/4 in"},
		{"down", "wide rounded down to 1/2 in", "24 1/2 in"},
		{"to, a tie goes away from zero", "-(wide) rounded to 1/4 in", "-24 3/4 in"},
		{"up past zero", "-(wide) rounded up to 1 in", "-24 in"},
		{"abs", "abs(n - 5)", "2"},
		{"min and max", "max(min(wide, 2 ft), 1 ft, 3 in)", "24 in"},
		{"if takes the lane that holds", "if wide > 2 ft then 1 else 2", "1"},
		{"and needs both", "if wide > 2 ft and n > 3 then 1 else 2", "2"},
		{"or needs one", "if wide > 2 ft or n > 3 then 1 else 2", "1"},
		{"not", "not welted", "yes"},
		{"words", "if cover.stuff is not vinyl then 1 else 2", "1"},
		{"a rate meets its measure", "cover.price * 18 in", "$20.75"},
		{"per", "$90 per h * 20 min", "$30.00"},
		{"a rule by the material", "seam(quay_vinyl)", "5/8 in"},
		{"a list", "[1 in, wide, n * 1 in]", "[1 in, 24 5/8 in, 3 in]"},
		{"its sum", "sum([1 in, wide, 3/8 in])", "26 in"},
		{"count first last", "count([5, 6, 7]) + 10 * first([5, 6, 7]) + 100 * last([5, 6, 7])", "753"},
		{"least and most of a list", "max([1 in, wide]) - min([1 in, wide])", "23 5/8 in"},
		{"a place in a list", "[5, 6, 7][n - 1]", "6"},
		{"for each", "for each i from 1 to n: i * i", "[1, 4, 9]"},
		{"for each over none", "count(for each i from 1 to 0: i)", "0"},
		{"for each over a list", "for each x of [2, 3]: x * x", "[4, 9]"},
		{"the last loop runs fastest", "for each j from 1 to 2, i from 1 to 3: 10 * j + i", "[11, 12, 13, 21, 22, 23]"},
		{"a list inside a list", "for each i from 1 to 3: sum(for each k from 1 to i: k)", "[1, 3, 6]"},
		{"an inner loop over what the outer gives", "for each i from 1 to 2, k from i to 2: 10 * i + k", "[11, 12, 22]"},
		{"for each to the last whole number that is held", "for each i from 9223372036854775806 to 9223372036854775807: i - 9223372036854775800", "[6, 7]"},
		{"points", "for each i from 1 to 2: (i * 1 in) at 2 in", "[1 in at 2 in, 2 in at 2 in]"},
		{"a part of a size", "(wide by 3 in).deep", "3 in"},
		{"an exact root", "sqrt(9 in2 / 16)", "3/4 in"},
		{"text with what it names", `"{n} at {wide}"`, "3 at 24 5/8 in"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := read(t, pad("  x = "+tt.formula, "")).fill(t, "1")
			if diff := cmp.Diff(tt.want, shown(t, s, "x")); diff != "" {
				t.Errorf("%s (-want +got):\n%s", tt.formula, diff)
			}
		})
	}
}

func TestFaultsOfFormulas(t *testing.T) {
	tests := []struct{ name, formula, want string }{
		{"division", "wide / (n - 3)", "zero-divisor"},
		{"modulo", "wide mod (0 in * n)", "zero-divisor"},
		{"a step of nothing", "wide rounded up to (1 in * (n - 3))", "round-to-nothing"},
		{"a negative step", "wide rounded up to (1 in * (n - 4))", "round-to-nothing"},
		{"a root of less than nothing", "sqrt(wide * (1 in - wide))", "function-outside"},
		{"past the end of a list", "[1, 2][n]", "index-outside"},
		{"before its beginning", "[1, 2][n - 3]", "index-outside"},
		{"the first of none", "first(for each i from 1 to 0: i)", "index-outside"},
		{"the least of none", "min(for each i from 1 to 0: i)", "index-outside"},
		{"a parameter outside its range", "narrow(wide)", "parameter-outside"},
		{"a rule that the house must give", "house_gives", "rule-not-given"},
		{"a list too long", "count(for each i from 1 to 10001: i)", "list-too-long"},
		{"too much work", "sum(for each i from 1 to 9999: sum(for each k from 1 to 9999: 1))", "too-much-work"},
		{"a number too large", "sum(for each i from 1 to 9: grown(grown(grown(grown(10 * n)))))", "number-too-large"},
		{"a tie within the bound of a root", "sqrt(2) * sqrt(2) rounded down to 1", "round-undecided"},
		{"a comparison within its bound", "if sqrt(2) * sqrt(2) = 2 then 1 else 2", "compare-undecided"},
		{"a row of points within its bound", "ramp(sqrt(2) * sqrt(2) * 1 in)", "compare-undecided"},
		{"texts that grow tenfold", `more(more(more(more(more(more(more(more(more("ten yards")))))))))`, "too-much-work"},
		{"a list of long texts", `"{for each i from 1 to 9999: long}"` + "\n  long = " + `more(more(more("a ")))`, "too-much-work"},
		{"the first of two faults", "1 / (n - 3) + [1][n]", "zero-divisor"},
	}
	rules := `
rule narrow(w: length from 1 in to 20 in): length = w
rule house_gives: length
rule grown(x: number): number = square(square(square(square(x))))
rule square(x: number): number = x * x * x * x
rule more(t: text): text = "{t}{t}{t}{t}{t}{t}{t}{t}{t}{t}"
table ramp(w: length from 0 in to 30 in): length interpolated {
  w     | gives
  0 in  | 1 in
  2 in  | 3 in
  30 in | 2 1/2 in
}
`
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := read(t, pad("  x = "+tt.formula, rules)).fill(t, "1")
			if diff := cmp.Diff("("+tt.want+")", shown(t, s, "x")); diff != "" {
				t.Errorf("%s (-want +got):\n%s", tt.formula, diff)
			}
		})
	}
}

// What a condition does not choose must not matter; what it does must not be hidden.
func TestFaultsInLanes(t *testing.T) {
	tests := []struct{ name, lines, want string }{
		{"a lane not chosen", "gap = if n = 3 then wide else wide / (n - 3)", ""},
		{"a lane chosen", "gap = if n = 4 then wide else wide / (n - 3)", "zero-divisor"},
		{"a cell that only such a lane reads", "share = wide / (n - 3)\n  gap = if n = 3 then wide else share", ""},
		{"a cell that a chosen lane reads", "share = wide / (n - 3)\n  gap = if n = 4 then wide else share", "zero-divisor"},
		{"the condition itself", "gap = if 1 / (n - 3) > 1 then wide else wide", "zero-divisor"},
		{"and stops at the first no", "fits = n > 3 and wide / (n - 3) > 1 in", ""},
		{"or stops at the first yes", "fits = n = 3 or wide / (n - 3) > 1 in", ""},
		{"and goes on after a yes", "fits = n = 3 and wide / (n - 3) > 1 in", "zero-divisor"},
		{"a case not reached", "gap = share(wide, n)", ""},
		{"a cell of a rule that no case reads", "gap = lazy(wide, n)", ""},
		{"a cell of a rule that a case reads", "gap = eager(wide, n)", "zero-divisor"},
		{"an argument is always worked out", "gap = ignore(wide / (n - 3))", "zero-divisor"},
		{"a cell that nothing reads", "gap = wide / (n - 3)", "zero-divisor"},
		{"a cell read by one that does not fault", "a = 1 / (n - 3)\n  b = if welted then a else 1", ""},
		{"a piece left out", "piece p from cover, 2 off = (wide / (n - 3)) by 4 in when n > 3", ""},
		{"a piece kept", "piece p from cover, 2 off = (wide / (n - 3)) by 4 in when n = 3", "zero-divisor"},
		{"marks left out", "piece p from cover = wide by 4 in\n  marks m on p = for each i from 1 to 2: (wide / (n - 3)) at 1 in when n > 3", ""},
		{"marks kept", "piece p from cover = wide by 4 in\n  marks m on p = for each i from 1 to 2: (wide / (n - 3)) at 1 in when n = 3", "zero-divisor"},
		{"a hole of marks left out", "piece p from cover = wide by 4 in\n  marks m on p = [1 in at 1 in] when n > 3 { hole = wide / (n - 3) }", ""},
		{"a hole kept", "piece p from cover = wide by 4 in\n  marks m on p = [1 in at 1 in] { hole = wide / (n - 3) }", "zero-divisor"},
		{"marks of no item", "piece p from cover = wide by 4 in\n  marks m on p = for each i from 1 to n - 3: (wide / (n - 3)) at 1 in", ""},
		{"a charge left out", "charge extra = $5 / (n - 3) when n > 3", ""},
		{"a charge kept", "charge extra = $5 / (n - 3) when n = 3", "zero-divisor"},
		{"work left out", "work sew = 5 min / (n - 3) when n > 3", ""},
		{"work kept", "work sew = 5 min / (n - 3)", "zero-divisor"},
		{"a use left out", "use wide / (n - 3) of waxed when n > 3", ""},
		{"a use kept", "use wide / (n - 3) of waxed", "zero-divisor"},
		{"a step left out", `step "{wide / (n - 3)} apart" when n > 3`, ""},
		{"a step kept", `step "{wide / (n - 3)} apart"`, "zero-divisor"},
		{"a condition of a statement", `step "press" when wide / (n - 3) > 1 in`, "zero-divisor"},
		{"a message not needed", `need n = 3 else "only {wide / (n - 3)}"`, ""},
		{"a need", `need wide / (n - 3) > 1 in else "too narrow"`, "zero-divisor"},
	}
	rules := `
rule share(w: length, n: count): length {
  w           when n = 3
  w / (n - 3) otherwise
}
rule lazy(w: length, n: count): length {
  share = w / (n - 3)
  w    when n = 3
  share otherwise
}
rule eager(w: length, n: count): length {
  share = w / (n - 3)
  share when n = 3
  w    otherwise
}
rule ignore(w: length): length = 1 in
`
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := read(t, pad("  "+tt.lines, rules)).work(t, "1")
			if diff := cmp.Diff(tt.want, codes(problems)); diff != "" {
				t.Errorf("%s (-want +got):\n%s", strings.TrimSpace(tt.lines), diff)
			}
		})
	}
}
