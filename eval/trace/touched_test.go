package trace_test

import (
	"slices"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/stdlib"
)

// moved lists what of an order's result changes when the book says something else.
func moved(before, after *eval.Result) []string {
	var all []string
	for i, s := range before.Sheet.Plan.Slots {
		x, _ := before.Sheet.Value(i)
		y, _ := after.Sheet.Value(i)
		if s.Cell.Role != check.HiddenCell && !x.Equal(y) {
			all = append(all, s.Name)
		}
	}
	cost := map[string]quantity.Number{}
	for _, l := range before.Buy {
		cost["buy."+l.Material.Name] = l.Cost
	}
	for _, l := range before.Work {
		cost["work."+l.Name] = l.Cost
	}
	for _, l := range after.Buy {
		if was, ok := cost["buy."+l.Material.Name]; ok && !was.Equal(l.Cost) {
			all = append(all, "buy."+l.Material.Name)
		}
	}
	for _, l := range after.Work {
		if was, ok := cost["work."+l.Name]; ok && !was.Equal(l.Cost) {
			all = append(all, "work."+l.Name)
		}
	}
	return all
}

// changes lists what of a book can be given another value, by the name that a reach is asked by.
func changes(p *check.Program, r *eval.Result) map[string]eval.WhatIf {
	all := map[string]eval.WhatIf{}
	for _, rule := range p.Rules {
		if rule.Result.Base != check.Quantity || rule.Result.Whole {
			continue
		}
		all[rule.Name] = eval.WhatIf{Rules: map[*check.Rule]eval.Move{rule: {By: quantity.Frac(1, 8)}}}
	}
	for _, l := range r.Buy {
		for i, f := range l.Material.Kind.Fields {
			v, ok := r.Sheet.Plan.Stock(l.Material).Measure(f.Name)
			if f.Type.Base == check.Quantity && ok {
				more := v.Mul(quantity.Frac(101, 100)).Add(quantity.Frac(1, 8))
				all[l.Material.Name+"."+f.Name] = eval.WhatIf{Fields: map[eval.FieldOf]check.Value{{Material: l.Material, Field: i}: check.Num(more)}}
			}
		}
	}
	return all
}

// inBook reports whether the static reach holds what an order used.
func inBook(book trace.Reached, recipe, name string) bool {
	if front, rest, _ := strings.Cut(name, "."); front == "price" {
		recipe, name = front, rest
	}
	if strings.HasPrefix(name, "buy.") || strings.HasPrefix(name, "work.") {
		return true // lines of the result are no cells
	}
	for _, r := range book.Recipes {
		if r.Name == recipe && slices.Contains(r.Cells, name) {
			return true
		}
	}
	return false
}

// Whatever moves when a rule or a field is given another value lies in its reach, in the order and in the book.
func TestWhateverMovesIsReached(t *testing.T) {
	p := workroom(t)
	tried, moves := 0, 0
	for n, o := range p.Orders {
		before, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
		if len(problems) > 0 {
			t.Fatal(o.ID, problems)
		}
		for name, w := range changes(p, before) {
			if (len(name)+n)%6 != 0 {
				continue // a sixth of them for each order, for time
			}
			target, err := trace.FindTarget(p, name)
			if err != nil {
				t.Fatal(err)
			}
			after, problems := (&eval.Engine{Program: p, WhatIf: w}).Work(o, o.Date)
			if len(problems) > 0 {
				continue
			}
			tried++
			used := target.In(before, stdlib.LaidBy())
			book := target.Reach(p, stdlib.LaidBy())
			for _, m := range moved(before, after) {
				moves++
				if !slices.Contains(used, m) {
					t.Errorf("order %s: %s moves %s, which is not in its reach: %v", o.ID, name, m, used)
				}
			}
			for _, m := range used {
				if !inBook(book, o.Recipe.Name, m) {
					t.Errorf("order %s: %s was used by %s, but the book does not say that it may be", o.ID, name, m)
				}
			}
		}
	}
	if tried < 150 || moves < 250 {
		t.Errorf("only %d changes were tried, and %d values moved", tried, moves)
	}
}

const reaching = layered + `
rule spare: length = 2 in
recipe set {
  ask long: length = 50 in
  part left = pad { wide = long thick = 2 in }
  part right, 2 off = pad { wide = 20 in thick = 2 in }
  step "Fold {spare}"
}
order 2 {
  make set
  date = 2026-04-02
}
`

func TestReachIsAskedByName(t *testing.T) {
	p := programOf(t, false, reaching)
	r := workedOut(t, p)
	tests := []struct{ name, sort, used, book string }{
		{"edge", "rule", "left.drop left.cut left.top.wide right.drop buy.tweed price.bought price.total price.material price.rush", "pad: drop cut top.wide; set: left.drop left.cut left.top.wide right.drop right.cut right.top.wide; price: bought total material rush"},
		{"spare", "rule", "(steps)", "set: (steps)"},
		{"seam", "rule", "right.cut right.top.wide buy.tweed price.bought price.total price.material price.rush", "pad: cut top.wide; set: left.cut left.top.wide right.cut right.top.wide; price: bought total material rush"},
		{"loss[1]", "row", "left.drop left.cut left.top.wide right.drop buy.tweed price.bought price.total price.material price.rush", "pad: drop cut top.wide; set: left.drop left.cut left.top.wide right.drop right.cut right.top.wide; price: bought total material rush"},
		{"tweed.price", "field", "buy.tweed price.bought price.total price.material price.rush", "price: bought total material rush"},
		{"set.long", "ask", "long left.wide left.cut left.top.wide buy.tweed price.bought price.total price.material price.rush", "set: long left.wide left.cut left.top.wide; price: bought total material rush"},
		{"price.material", "cell", "price.total price.material", "price: total material"},
	}
	for _, test := range tests {
		target, err := trace.FindTarget(p, test.name)
		if err != nil || target.Sort != test.sort {
			t.Errorf("%s is a %s (%v)", test.name, target.Sort, err)
			continue
		}
		if got := strings.Join(target.In(r, nil), " "); got != test.used {
			t.Errorf("order 2 used %s in\n  %s, not in\n  %s", test.name, got, test.used)
		}
		var parts []string
		for _, recipe := range target.Reach(p, nil).Recipes {
			parts = append(parts, recipe.Name+": "+strings.Join(recipe.Cells, " "))
		}
		if got := strings.Join(parts, "; "); got != test.book {
			t.Errorf("the book rests on %s in\n  %s, not in\n  %s", test.name, got, test.book)
		}
	}
}

func TestUnknownTargetsAreTold(t *testing.T) {
	p := programOf(t, false, reaching)
	for name, want := range map[string]string{
		"edgy":       "did you mean edge?",
		"loss[3]":    "loss has no row 3: they are counted from 1 to 2",
		"loss[0]":    "loss has no row 0: they are counted from 1 to 2",
		"edge[2]":    "edge has no case 2: they are counted from 1 to 1",
		"tweed[1]":   "tweed has no rows and no cases",
		"set":        "set is a recipe: ask for one of its asks or cells, as set.long",
		"price.rash": "did you mean price.rush?",
		"loose[1]":   "did you mean loss?",
		"tweed.prie": "did you mean tweed.price?",
		"set.lang":   "did you mean set.long?",
		"seam.x":     "the book has no",
		"":           "the book has no rule",
		"\x1b[31m":   "the book has no",
	} {
		if _, err := trace.FindTarget(p, name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", name, err, want)
		}
	}
}

// Amendments of different days may rest on each other in a ring, which no day closes; what rests on a rule anywhere on it is found all the same.
func TestReachGoesRoundRingsThatNoDayCloses(t *testing.T) {
	const text = layered + `
rule root: length = 1 in
rule one: length = 1 in
rule two: length = 1 in
rule three: length = 1 in
amend one from 2026-01-01 until 2026-02-01 = two
amend two from 2026-02-01 until 2026-03-01 = three
amend three from 2026-03-01 until 2026-04-01 = one
amend three from 2026-04-01 until 2026-05-01 = root
rule apart: length = 1 in
rule cloth_one: cloth = tweed
rule cloth_two: cloth = tweed
amend cloth_one from 2026-01-01 until 2026-02-01 = cloth_two
amend cloth_two from 2026-02-01 until 2026-03-01 = cloth_one
rule price_of: money per length = cloth_one.price
`
	p := programOf(t, false, text)
	for name, want := range map[string]string{"root": "one two three", "one": "two three", "two": "one three", "three": "one two", "apart": ""} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(target.Reach(p, nil).Rules, " "); got != want {
			t.Errorf("on %s rest %q, want %q", name, got, want)
		}
	}
}
