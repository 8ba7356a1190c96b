package spread_test

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/spread"
	"squab/lang"
	"squab/lang/diag"
)

// programOf checks a house's text, over the trade library where it is wanted.
func programOf(t testing.TB, trade bool, house string) *check.Program {
	t.Helper()
	files, problems := &diag.Files{}, diag.List{}
	var trees []*lang.File
	if trade {
		names, _ := filepath.Glob("../../stdlib/trade/*.squab")
		for _, name := range names {
			trees = append(trees, lang.Parse(files.Add("trade/"+filepath.Base(name), read(t, name), diag.Trade), lang.Limits{}, &problems))
		}
	}
	trees = append(trees, lang.Parse(files.Add("house.squab", house, diag.House), lang.Limits{}, &problems))
	p := check.Check(files, trees, &problems)
	if problems.HasErrors() {
		t.Fatal(problems.All()[0].Message)
	}
	return p
}

func read(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// workroom is the example house, over the trade library.
func workroom(t testing.TB) *check.Program {
	t.Helper()
	names, _ := filepath.Glob("../../examples/heron-quay/*.squab")
	var text strings.Builder
	for _, name := range names {
		text.WriteString(read(t, name))
	}
	return programOf(t, true, text.String())
}

func answer(t testing.TB, q spread.Question) spread.Answer {
	t.Helper()
	a, problems := q.Answer()
	if len(problems) > 0 {
		t.Fatal(q.Order.ID, problems)
	}
	return a
}

// put works an order out anew with some inputs set: it shares nothing with the search but the engine.
func put(p *check.Program, o *check.Order, set map[*spread.Input]quantity.Number) map[string]quantity.Number {
	w := eval.WhatIf{Fields: map[eval.FieldOf]check.Value{}}
	order := *o
	order.Given = map[int]*check.Cell{}
	for i, cell := range o.Given {
		order.Given[i] = cell
	}
	for in, n := range set {
		front, field, isField := strings.Cut(in.Name, ".")
		if isField {
			m := p.Material(front)
			w.Fields[eval.FieldOf{Material: m, Field: m.Kind.Field(field).Index}] = check.Num(n)
			continue
		}
		for _, ask := range o.Recipe.Asks {
			if ask.Name == in.Name {
				order.Given[ask.Index] = &check.Cell{Name: ask.Name, At: ask.At, Type: ask.Type, Index: ask.Index, Expr: check.Literal(check.Num(n), ask.Type, diag.Span{})}
			}
		}
	}
	e := &eval.Engine{Program: p, WhatIf: w}
	s := e.Plan(o.Recipe, o.Date, o).NewSheet()
	s.Fill(&order)
	r, problems := e.Finish(s)
	if len(problems) > 0 {
		return nil
	}
	return facts(r)
}

func facts(r *eval.Result) map[string]quantity.Number {
	all := map[string]quantity.Number{}
	for i, slot := range r.Sheet.Plan.Slots {
		if v, fault := r.Sheet.Value(i); fault == nil {
			all[slot.Name] = v.Num
		}
	}
	for _, l := range r.Buy {
		all["buy."+l.Material.Name] = l.Buy
	}
	return all
}

// reached holds that each end comes out when the inputs that lead to it are put in.
func reached(t *testing.T, p *check.Program, o *check.Order, a spread.Answer) {
	t.Helper()
	for _, r := range a.Ranges {
		for _, e := range []spread.End{r.Least, r.Most} {
			set := map[*spread.Input]quantity.Number{}
			for _, s := range e.Where {
				set[s.Input] = s.Value
			}
			got := put(p, o, set)
			if got == nil {
				continue // refused there, and so warned of
			}
			if n := got[r.Name]; !n.Equal(e.Value) && n.Exact() {
				t.Errorf("order %s: %s is said to reach %s with %d inputs set, and is %s", o.ID, r.Name, e.Value, len(set), n)
			}
		}
	}
}

// within holds that points anywhere in the tolerances stay in the ranges that are proved, and within the bounds of those that are not.
func within(t *testing.T, p *check.Program, o *check.Order, a spread.Answer, r *rand.Rand, points int) {
	t.Helper()
	for range points {
		set := map[*spread.Input]quantity.Number{}
		for _, in := range a.Inputs {
			share := quantity.Frac(r.Int63n(65), 64)
			set[in] = in.Low.Add(in.High.Sub(in.Low).Mul(share))
			if in.Type.Whole {
				set[in], _ = set[in].RoundDown(quantity.Int(1))
			}
		}
		got := put(p, o, set)
		for _, x := range a.Ranges {
			n, ok := got[x.Name]
			if !ok || !n.Exact() {
				continue
			}
			if beyond(n.Neg(), x.Least, quantity.Number.Neg) || beyond(n, x.Most, func(n quantity.Number) quantity.Number { return n }) {
				t.Errorf("order %s: %s is said to lie from %s to %s, and is %s where %v", o.ID, x.Name, x.Least.Value, x.Most.Value, n, shown(set))
			}
		}
	}
}

// beyond reports whether a value goes beyond an end that is proved, or beyond what bounds one that is not.
func beyond(n quantity.Number, e spread.End, turn func(quantity.Number) quantity.Number) bool {
	most := turn(e.Value)
	if !e.Proved && e.Bound == nil {
		return false
	}
	if !e.Proved {
		most = turn(*e.Bound)
	}
	order, decided := most.Cmp(n)
	return decided && order < 0
}

func shown(set map[*spread.Input]quantity.Number) string {
	s := ""
	for in, n := range set {
		s += fmt.Sprintf("%s = %s ", in.Name, n)
	}
	return s
}

// loosened gives each measure that an order gives, and each field of a foam that it takes, a tolerance that its file does not state.
func loosened(o *check.Order, p *check.Program, wide quantity.Number) map[string]*check.Tolerance {
	all := map[string]*check.Tolerance{}
	lot := check.Leeway{Num: wide}
	for _, ask := range o.Recipe.Asks {
		if ask.Type.IsLength() && o.Given[ask.Index] != nil {
			all[ask.Name] = &check.Tolerance{Up: lot, Down: lot}
		}
	}
	for _, m := range p.Materials {
		if m.Kind.Name == "foam" {
			all[m.Name+".thick"] = &check.Tolerance{Up: lot, Down: check.Leeway{}}
		}
	}
	return all
}

func TestRangesOfTheWorkroomHoldAndAreReached(t *testing.T) {
	p := workroom(t)
	r := rand.New(rand.NewSource(7))
	proved, ends := 0, 0
	for _, o := range p.Orders {
		if !slices.Contains([]string{"1042", "1044", "1047", "1049"}, o.ID) {
			continue // a lid, a cushion, a headboard and a lid of parts stand for the others
		}
		a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date, Given: loosened(o, p, quantity.Frac(1, 8))})
		reached(t, p, o, a)
		within(t, p, o, a, r, 3)
		for _, x := range a.Ranges {
			for _, e := range []spread.End{x.Least, x.Most} {
				if ends++; e.Proved {
					proved++
				}
			}
		}
	}
	t.Logf("%d of %d ends are proved", proved, ends)
	if proved*100 < ends*95 {
		t.Errorf("only %d of %d ends are proved", proved, ends)
	}
}

func TestLargePiecesAreKnownByOneInput(t *testing.T) {
	p := workroom(t)
	for _, o := range p.Orders {
		if given := map[string]string{"1043": "wide", "1052": "left_run"}[o.ID]; given != "" {
			lot := check.Leeway{Num: quantity.Frac(1, 8)}
			a := answer(t, spread.Question{Engine: &eval.Engine{Program: p}, Order: o, Day: o.Date, Given: map[string]*check.Tolerance{given: {Up: lot, Down: lot}}})
			reached(t, p, o, a)
			within(t, p, o, a, rand.New(rand.NewSource(8)), 2)
		}
	}
}
