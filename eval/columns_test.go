package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"squab/eval"
)

const columnRules = lath + `
choice hand = left, right, either
kind hook: supply {
  hand:  hand = either
  long:  length
  odd:   length = 1 in2 / long
  reach: size = 1 in by 2 in
  lined: yes/no = no
  label: text = "plain"
  price: money per each
  sold:  count = 1
}
material peg: hook {
  long  = 0 in
  price = $1 per each
}
material claw: hook {
  hand  = left
  long  = 3/7 in
  reach = 0 in by 1/3 in
  lined = yes
  label = "claw of brass"
  price = $0.37 per each
}
material crook: hook {
  hand  = right
  long  = 5/4 in
  reach = 2/3 in by 0 in
  price = $2 per each
}
table band(w: length from 0 in to 240 in, welted: yes/no): length interpolated {
  w      | welted | gives
  0 in   | yes    | 1 in
  0 in   | no     | 2 in
  240 in | yes    | 9 in
  240 in | no     | 3 in
}
table ramp(w: length from 0 in to 240 in): length interpolated {
  w      | gives
  0 in   | 1 in
  24 in  | w / 5
  240 in | 1/3 in
}
amend table ramp from 2026-01-01 {
  w     | gives
  30 in | 7 in
  50 in | 2 in
}
recipe pocket {
  ask wide: length from 3 in to 30 in
  ask n: count from 0 to 3 = 5 - 2
  half = wide / 2
}
rule often(n: count): length = sum(for each i from 1 to n: i * 1 in)
`

// columnBook is a recipe with the lines in it, and orders for it of all kinds.
func columnBook(lines string) string {
	var b strings.Builder
	b.WriteString(strings.Replace(pad("  ask hand: hand = either\n  ask hook: hook = peg\n  ask many: count from 0 to 9000 = 5\n  "+lines, columnRules), "order 1 {\n  make pad\n  wide = 24 5/8 in\n}\n", "", 1))
	for i := range 60 {
		fmt.Fprintf(&b, "order %d {\n  make pad, %d off\n  wide = %d/16 in\n  n = %d\n", i, i%3+1, 16+i*61, i%12-3)
		if i%4 > 0 {
			fmt.Fprintf(&b, "  hand = %s\n  hook = %s\n  many = %d\n", []string{"left", "right", "either"}[i%3], []string{"peg", "claw", "crook"}[i/2%3], []int{0, 3, 63, 64, 65, 200}[i%6])
		}
		if i%5 > 0 {
			fmt.Fprintf(&b, "  welted = %s\n  cover = %s\n", []string{"yes", "no"}[i%2], []string{"harbour_tweed", "quay_vinyl"}[i/3%2])
		}
		if i%3 > 0 && strings.Contains(lines, "ask say") {
			fmt.Fprintf(&b, "  say = \"%d\"\n", i)
		}
		b.WriteString("}\n")
	}
	return b.String()
}

// Each line stands for something that a recipe may do; every value that columns give of it, and every order that they call sound, is held against a sheet.
func TestColumnsOfEachKind(t *testing.T) {
	tests := []struct{ name, lines, unjudged string }{
		{"a choice", "x = if hand is left then 1 in else if hand is not right then 2 in else 3 in", ""},
		{"a choice of a field", "x = if hook.hand is hand then 1 in else 2 in", ""},
		{"a field that is nothing for the first", "x = hook.long + wide", ""},
		{"a field that one of them lacks", "x = if hook is peg then 1 in else hook.odd\n  y = hook.odd + wide", ""},
		{"an ask of a part out of its range", "part a = pocket { wide = wide - 10 in }\n  part b = pocket {\n    wide = 4 in\n    n = n\n  }\n  x = a.half + b.n * 1 in", ""},
		{"a size of a field", "x = hook.reach\n  y = hook.reach.deep * 2 + wide", ""},
		{"a truth of a field", "x = if hook.lined then 1 in else wide\n  y = hook.lined and welted", ""},
		{"a text of a field", "ask say: text = \"so\"\n  x = \"{hook.label} and {say}\"\n  step \"{x}, {hook.long}, {wide / 3}, {for each i from 1 to 3: i * wide}\"", "no column holds an ask of this kind"},
		{"a list of materials", "x = [hook, claw, peg]\n  y = x[2].long + last(x).price * 0 in / $1 * 1 each", ""},
		{"a list of truths", "x = [welted, wide > 3 ft, no]\n  y = if first(x) then 1 in else 2 in", ""},
		{"a list of choices", "x = [hand, hook.hand]\n  y = if x[1] is x[2] then 1 in else 2 in", ""},
		{"a list of quotients", "x = for each i from 1 to 3: wide / (n - i + 1 / 7)\n  y = x[2]", ""},
		{"quotients by what may be nothing", "x = [1 in, wide / n]\n  y = wide / n rounded up to 1/16 in\n  z = (wide / n) mod 1 in", "its items have no unit in common"},
		{"a list merged", "x = if welted then [0 in, 0 in] else for each i from 1 to n: i * wide / 3\n  y = sum(x)\n  z = max(x)", ""},
		{"sizes merged", "x = if welted then [0 in at 0 in] else for each i from 1 to n: (i * wide / 3) at (1 in / 7)\n  y = x[1].x + last(x).y", ""},
		{"an empty list", "x = for each i from 5 to 1: wide\n  y = sum(x) + count(x) * 1 in", ""},
		{"a loop of many turns", "x = sum(for each i from 1 to many: i * 1 in)\n  y = count(for each i from 1 to many: wide)", ""},
		{"loops of many turns in loops", "x = sum(for each i from 1 to n, k from 1 to many: (i + k) * 1/8 in)", ""},
		{"a rule with a loop of many turns", "x = often(many)", ""},
		{"a loop over a list that a loop made", "a = for each i from 0 to n: i * 1/3 in\n  x = sum(for each p of a, k from 1 to n: p + k * wide)", ""},
		{"a table with further tests", "x = band(wide, welted)", "it interpolates between rows that further tests choose"},
		{"a table and its amendment", "x = ramp(wide)\n  y = ramp(wide / 7)\n  z = ramp(30 in) + ramp(1 in)", ""},
		{"whole numbers of halves", "x = (n + 1/2) rounded to 1\n  y = (wide / 2) rounded to 1/8 in\n  z = -(wide) rounded up to 3/16 in", ""},
		{"a step that varies", "x = wide rounded up to (n * 1/4 in)\n  y = wide rounded to (hook.long)\n  z = wide rounded down to wide / 3", ""},
		{"remainders", "x = wide mod (n * 1 in)\n  y = -(wide) mod 7/16 in\n  z = wide mod (1/3 in - wide)", ""},
		{"what is cut now and then", "piece p from cover, (n - 1) off = (wide - 3 ft) by 2 in when welted", ""},
		{"joins, strips and turns", "piece p from cover = wide by 20 in {\n    join = 1 in - hook.long\n    turn = welted\n    match = (wide / 2) at 1 in\n  }\n  piece q from cover = wide by 2 in { bias = hook.long - 1/4 in }", ""},
		{"layers at the edge", "piece p from cover = wide by 20 in {\n    beneath = 1 in - hook.long\n    side = wide - 2 in\n    welt = 1/8 in\n  }", ""},
		{"marks", "piece p from cover = wide by 4 in\n  marks m on p = for each i from 1 to n: (i * 12 in) at (hook.long * 3) { hole = hook.long }", ""},
		{"work and charges", "work sew = 1 min * (n + 2), setup 3 min - 1 min * n when wide > 2 ft\n  charge extra = $1 / n when welted\n  use wide - 3 ft of waxed when hand is left", ""},
		{"work of less than nothing", "work sew = 1 min * n when not welted", ""},
		{"more pieces than a layout takes", "piece p from cover, 4990 + 3 * n off = wide by 2 in", ""},
		{"loops that begin at different numbers", "x = sum(for each i from max(n, 0) to 8: wide / (i + 2))", ""},
		{"a setup of less than nothing", "work sew = 1 min, setup 1 min * n", ""},
		{"a use of less than nothing", "use n * 1 in of waxed", ""},
		{"mitres that cross", "piece p from lath = wide { mitre = 6 in + n * 1 in }", ""},
		{"a root", "x = sqrt(wide * 1 in)\n  y = if n > 0 then sqrt(4 in2) else wide", "it uses sqrt, which is not exact"},
	}
	var all eval.Counts
	for _, tt := range tests {
		b := read(t, columnBook(tt.lines))
		unproven := 0
		if err := checkBatch(b, &all, &unproven); err != nil {
			t.Errorf("%s: %v\n%s", tt.name, err, tt.lines)
		}
		if p, err := b.engine.Plan(b.program.Orders[0].Recipe, day, nil).Batch(); err != nil || p.Unjudged() != tt.unjudged {
			t.Errorf("%s: %v, unjudged because %s; want %q", tt.name, err, p.Unjudged(), tt.unjudged)
		}
		if err := checkByArea(b); err != nil {
			t.Errorf("%s, by area: %v\n%s", tt.name, err, tt.lines)
		}
	}
	t.Logf("%+v", all)
	if all.Uncovered*10 > all.Orders {
		t.Errorf("%d of %d orders were not covered: this proves too little", all.Uncovered, all.Orders)
	}
}

// checkByArea holds what batches call sound by area against what orders come to.
func checkByArea(b book) error {
	orders := b.program.Orders
	batch, err := b.engine.Plan(orders[0].Recipe, day, nil).BatchByArea()
	if err != nil {
		return err
	}
	batch.Run(columnsOf(orders), func(i int, r eval.Row) {
		if _, problems := b.engine.Work(orders[i], day); r.Sound() && len(problems) > 0 {
			err = fmt.Errorf("order %s is sound, but %s", orders[i].ID, codes(problems))
		}
	})
	return err
}

// No batch is made where an order could take more steps than it may: a loop counts for each of its turns, and so does what it calls.
func TestColumnsKeepWithinTheSteps(t *testing.T) {
	tests := []struct {
		lines string
		steps int
	}{
		{"x = sum(for each i from 1 to 9, k from 1 to 30: i * 1 in)", 9 + 9*30},
		{"x = sum(for each i from 1 to 9: thrice(i * 1 in))", 9 + 9},
		{"x = thrice(thrice(wide))", 2},
	}
	for _, tt := range tests {
		b := read(t, pad("  "+tt.lines, "rule thrice(x: length): length = 3 * x\n"))
		for _, steps := range []int{tt.steps, tt.steps - 1} {
			b.engine = &eval.Engine{Program: b.program, Limits: eval.Limits{Steps: steps}}
			_, err := b.engine.Plan(b.program.Orders[0].Recipe, day, nil).Batch()
			_, problems := b.work(t, "1")
			if fits := steps == tt.steps; (err == nil) != fits || (len(problems) == 0) != fits {
				t.Errorf("%s in %d steps: a batch says %v, an order alone %s", tt.lines, steps, err, codes(problems))
			}
		}
	}
}

// A shop that measures in millimetres, or in tenths of them, has its orders worked out side by side as one that measures in inches does.
func TestMetricOrdersAreCovered(t *testing.T) {
	for _, shows := range []string{"1 mm", "1/10 cm", "1/1000 m"} {
		text := "shop \"Heron Quay Workroom\" {\n  currency = USD\n  shows    = " + shows + "\n}\n" + strings.Replace(pad("  ask deep: length = 30 cm\n  x = wide / 3 rounded up to 1 mm\n  y = deep + 1/2 in", ""), "wide = 24 5/8 in", "wide = 30 mm", 1)
		for i := range 40 {
			text += fmt.Sprintf("order %d {\n  make pad\n  wide = %d mm\n  deep = %d.%d cm\n}\n", i+2, 30+i*149, i*9, i%10)
		}
		var counts eval.Counts
		unproven := 0
		if err := checkBatch(read(t, text), &counts, &unproven); err != nil || unproven > 0 || counts.Uncovered > 0 || counts.Values > 0 {
			t.Errorf("%s: %v, %d cells unproven, %+v", shows, err, unproven, counts)
		}
	}
}
