package eval_test

import (
	"fmt"
	"testing"

	"squab/eval"
	"squab/eval/quantity"

	"github.com/google/go-cmp/cmp"
)

const nested = trade + `
recipe strip {
  ask long: length
  ask n: count = 2
  each_long = long / n
  piece band from harbour_tweed, n off = each_long by 2 in
  work sew = 3 min * n, setup 4 min
}
recipe cover {
  ask wide: length
  part side, 2 off = strip { long = wide + 1 in }
  part front = strip {
    long = side.long * 2
    n = 3
  }
  all = side.each_long + front.each_long
  charge thread = $0.333
}
recipe set {
  ask wide: length
  part seat, 3 off = cover { wide = wide - 2 in }
  use 2 ft of waxed
}
order 1 {
  make set, 5 off
  wide = 13 in
}
`

func TestRecipesInRecipes(t *testing.T) {
	r, problems := read(t, nested).work(t, "1")
	if problems != nil {
		t.Fatal(problems)
	}
	var pieces, work []string
	for _, p := range r.Pieces {
		pieces = append(pieces, fmt.Sprintf("%s %d × %s by %s", p.Name, p.Count, p.Wide, p.Deep))
	}
	for _, w := range r.Work {
		work = append(work, fmt.Sprintf("%s %s min %s", w.Name, w.Time, w.Cost))
	}
	want := []string{"seat.side.band 60 × 6 by 2", "seat.front.band 45 × 8 by 2"} // 5 sets of 3 seats: 2 sides of 2 bands, 1 front of 3
	if diff := cmp.Diff(want, pieces); diff != "" {
		t.Errorf("pieces (-want +got):\n%s", diff)
	}
	want = []string{"seat.side.sew 184 min 138", "seat.front.sew 139 min 417/4"}
	if diff := cmp.Diff(want, work); diff != "" {
		t.Errorf("work: the time for each, the setup once (-want +got):\n%s", diff)
	}
	if got := shown(t, r.Sheet, "seat.all"); got != "14 in" {
		t.Errorf("seat.all = %s, want 14 in", got)
	}
}

func TestBuyingRoundsUp(t *testing.T) {
	text := nested + `
kind felt: roll {
  usable:  length = 10 in
  price:   money per length
  sold:    length = 1 yd
  charged: length = 1/4 yd
}
kind slab: sheet {
  wide: length = 20 in
  deep: length = 10 in
  price: money per each
}
kind batten: stick {
  long: length = 8 ft
  price: money per each
}
material grey_felt: felt { price = $3.33 per yd }
material soft: slab { price = $7.01 per each }
material pine: batten { price = $1.99 per each }
recipe parts {
  piece a from grey_felt = 40 in by 10 in
  piece b from soft = 20 in by 10 in
  piece c from soft = 1 in by 1 in
  piece d from pine, 3 off = 50 in
  use 10 yd + 1 in of waxed
  use 1 in of grey_felt
}
order 2 { make parts }
`
	r, problems := read(t, text).work(t, "2")
	if problems != nil {
		t.Fatal(problems)
	}
	var got []string
	for _, l := range r.Buy {
		got = append(got, fmt.Sprintf("%s need %s buy %s charged %s cost %s", l.Material.Name, l.Need, l.Buy, l.Charged, l.Cost))
	}
	want := []string{
		"grey_felt need 41 buy 72 charged 45 cost 104/25", // 45 in of $3.33 a yard is $4.1625
		"soft need 2 buy 2 charged 2 cost 701/50",
		"pine need 2 buy 2 charged 2 cost 199/50",
		"waxed need 361 buy 720 charged 720 cost 4/5",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("buying list (-want +got):\n%s", diff)
	}
}

// The total is the sum of the lines as they are printed, to the cent.
func TestPriceAddsUpFromRoundedLines(t *testing.T) {
	text := trade + `
recipe bag {
  ask wide: length
  piece a from harbour_tweed = wide by wide
  work cut = wide / 3 in * 1 min
  charge thread = wide * $0.333 per in
  charge tag = $0.005
}
`
	for i := 1; i <= 60; i++ {
		text += fmt.Sprintf("order %d { make bag, %d off wide = %d/7 in }\n", i, i%5+1, 3*i)
	}
	b := read(t, text)
	cent := quantity.Frac(1, 100)
	for _, o := range b.program.Orders {
		r, problems := b.engine.Work(o, day)
		if problems != nil {
			t.Fatal(problems)
		}
		var sum quantity.Number
		for _, l := range append(append([]eval.PriceLine{}, r.Price...), r.Charges...) {
			if rounded, _ := l.Value.RoundNear(cent); !rounded.Equal(l.Value) {
				t.Errorf("order %s: %s is %s, not a whole number of cents", o.ID, l.Name, l.Value)
			}
		}
		for _, l := range r.Price {
			if !l.IsTotal && !l.IsNote {
				sum = sum.Add(l.Value)
				continue
			}
			if !sum.Equal(l.Value) {
				t.Errorf("order %s: the lines come to %s, the total is %s", o.ID, sum, l.Value)
			}
		}
	}
}

const lath = `
kind strip_wood: stick {
  long:  length = 8 ft
  price: money per each
}
material lath: strip_wood { price = $2 per each }
`

func TestRefusals(t *testing.T) {
	tests := []struct{ name, lines, want string }{
		{"a need", `need wide < 2 ft else "at most {2 ft}, not {wide}"`, "need-failed: at most 24 in, not 24 5/8 in"},
		{"every need", "need n > 3 else \"a\"\n  need n < 3 else \"b\"", "need-failed: a; need-failed: b"},
		{"a piece of no width", "piece p from cover = 0 in by 1 in", "piece-size: wide of p comes to 0 in: nothing can be cut to that"},
		{"a piece of negative depth", "piece p from cover = 1 in by (wide - 4 ft)", "piece-size: deep of p comes to -23 3/8 in: nothing can be cut to that"},
		{"a piece cut none times", "piece p from cover, (n - 3) off = 1 in by 0 in", ""},
		{"a piece cut less than none times", "piece p from cover, (n - 4) off = 1 in by 1 in", "piece-count: p cannot be cut -1 times"},
		{"too many pieces", "piece p from cover, 10001 off = 1 in by 1 in", "piece-count: p cannot be cut 10001 times"},
		{"a join with less than no seam", "piece p from cover = 80 in by 20 in { join = wide - 2 ft - 1 in }", "piece-size: join of p comes to -3/8 in: less than nothing"},
		{"a bias strip with less than no seam", "piece p from cover = 80 in by 2 in { bias = wide - 2 ft - 1 in }", "piece-size: bias of p comes to -3/8 in: less than nothing"},
		{"turned under by less than nothing", "piece p from cover = 8 in by 2 in { beneath = wide - 2 ft - 1 in }", "piece-size: beneath of p comes to -3/8 in: less than nothing"},
		{"round the side by less than nothing", "piece p from cover = 8 in by 2 in { side = wide - 2 ft - 1 in }", "piece-size: side of p comes to -3/8 in: less than nothing"},
		{"a welt of nothing", "piece p from cover = 8 in by 2 in { welt = wide - wide }", ""},
		{"a mitre the wrong way", "piece p from lath = 20 in { mitre = wide - 2 ft - 1 in }", "piece-size: mitre of p comes to -3/8 in: less than nothing"},
		{"mitres that meet", "piece p from lath = 20 in { mitre = 10 in }", ""},
		{"mitres that cross", "piece p from lath = 20 in { mitre = 10 1/16 in }", "piece-size: mitre of p comes to 10 1/16 in: more than half of its length, which is 20 in"},
		{"a mitre of a piece cut none times", "piece p from lath, (n - 3) off = 20 in { mitre = 30 in }", ""},
		{"a mark off its piece", "piece p from cover = 4 in by 2 in\n  marks m on p = [4 in at 2 in, 0 in at 0 in, 1 in at 2 1/16 in]",
			"mark-outside: mark 3 of m, at 1 in and 2 1/16 in, does not lie on p, which is 4 in by 2 in"},
		{"a hole of no width", "piece p from cover = 4 in by 2 in\n  marks m on p = [1 in at 1 in] { hole = wide - wide }", "hole-size: the hole at each of m comes to 0 in: none can be made to that"},
		{"marks on a piece left out", "piece p from cover = 4 in by 2 in when n > 3\n  marks m on p = [9 in at 9 in]", ""},
		{"a use of less than nothing", "use wide - 1 yd of waxed", "use-negative: what is used of waxed comes to less than nothing"},
		{"work of less than nothing", "work sew = 1 min * (n - 4)", "work-negative: the time of sew comes to less than nothing"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := read(t, pad("  "+tt.lines, lath)).work(t, "1")
			got := ""
			for i, d := range problems {
				if i > 0 {
					got += "; "
				}
				got += d.Code + ": " + d.Message
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestLimits(t *testing.T) {
	tests := []struct {
		name, formula string
		limits        eval.Limits
		want          string
	}{
		{"a list within", "count(for each i from 1 to 20: i)", eval.Limits{ListItems: 20}, "20"},
		{"a list past", "count(for each i from 1 to 21: i)", eval.Limits{ListItems: 20}, "(list-too-long)"},
		{"a nested list past", "count(for each i from 1 to 3, j from 1 to 7: i)", eval.Limits{ListItems: 20}, "(list-too-long)"},
		{"work within", "sum(for each i from 1 to 9: i)", eval.Limits{Steps: 9}, "45"},
		{"work past", "sum(for each i from 1 to 10: i)", eval.Limits{Steps: 9}, "(too-much-work)"},
		{"work past in inner loops", "sum(for each i from 1 to 9, j from 1 to 9: i)", eval.Limits{Steps: 80}, "(too-much-work)"},
		{"a loop without end", "sum(for each i from 1 to 9000000000000000000: 1)", eval.Limits{Steps: 1000}, "(too-much-work)"},
		{"a value within", "1 / 3 * 1 / 3", eval.Limits{Bits: 5}, "1/9"},
		{"a value past", "1 / 3 * 1 / 3 * 1 / 3", eval.Limits{Bits: 5}, "(number-too-large)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := read(t, pad("  x = "+tt.formula, ""))
			b.engine.Limits = tt.limits
			if diff := cmp.Diff(tt.want, shown(t, b.fill(t, "1"), "x")); diff != "" {
				t.Errorf("%s within %+v (-want +got):\n%s", tt.formula, tt.limits, diff)
			}
		})
	}
}
