package eval_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"sync"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/lang"
	"squab/lang/diag"
)

// changes are values to set asks to, in turn; some of them lie outside their range.
var changes = []struct{ ask, value string }{
	{"wide", "12 7/16 in"}, {"n", "0"}, {"cover", "pile"}, {"share", "22/7"}, {"n", "5 - 1"}, {"rows", "-1"}, {"wide", "0 in + 1/2 in"}, {"deep", "-3 in"},
	{"other", "quay_vinyl"}, {"welted", "yes"}, {"wide", "seam(quay_vinyl) * 3"}, {"rows", "2"}, {"deep", "1 in"}, {"paid", "$3.33"}, {"n", "2 + 99"}, {"n", "3"}, {"share", "0"},
}

// given checks the changes against a book, once.
func given(b book) (cells []*check.Cell, err error) {
	r := b.program.Recipe("pad")
	for _, c := range changes {
		var problems diag.List
		tree := lang.ParseFormula(b.files.Add("given", c.value, diag.Order), &problems)
		cell := b.program.CheckValue(r.Cell(c.ask), tree, &problems)
		if problems.HasErrors() {
			return nil, fmt.Errorf("%s = %s: %v", c.ask, c.value, problems.All())
		}
		cells = append(cells, cell)
	}
	return cells, nil
}

// sameSheets compares every slot of two sheets.
func sameSheets(got, want *eval.Sheet) error {
	for i, slot := range want.Plan.Slots {
		v, fault := got.Value(i)
		w, wantFault := want.Value(i)
		if (fault == nil) != (wantFault == nil) || fault != nil && (fault.Code != wantFault.Code || fault.Message != wantFault.Message || fault.At != wantFault.At) {
			return fmt.Errorf("%s: fault %v, want %v", slot.Name, fault, wantFault)
		}
		if fault == nil && !v.Equal(w) {
			return fmt.Errorf("%s: %v, want %v", slot.Name, v.Num, w.Num)
		}
	}
	return nil
}

// One change after another must leave a sheet as a fresh one would be.
func TestSetIsAFreshFill(t *testing.T) {
	n := 200
	if testing.Short() {
		n = 100
	}
	r := rand.New(rand.NewPCG(3, 5))
	manyBooks(t, n, func(_ *testing.T, b book) error {
		cells, err := given(b)
		if err != nil {
			return err
		}
		o := *b.program.Orders[0]
		o.Given = maps.Clone(o.Given)
		plan := b.engine.Plan(o.Recipe, dayOf(&o), &o)
		s, fresh := plan.NewSheet(), plan.NewSheet()
		s.Fill(&o)
		for range 12 {
			cell := cells[r.IntN(len(cells))]
			o.Given[cell.Index] = cell
			s.Set(cell)
			fresh.Fill(&o)
			if err := sameSheets(s, fresh); err != nil {
				return fmt.Errorf("after %s: %w", cell.Name, err)
			}
		}
		return nil
	})
}

func TestSetFinishesAsAFreshOrder(t *testing.T) {
	b := read(t, nested)
	o := b.order(t, "1")
	s := b.fill(t, "1")
	s.Set(b.give(t, o.Recipe, "wide", "20 in"))
	changed, problems := b.engine.Finish(s)
	if problems != nil {
		t.Fatal(problems)
	}
	want, _ := b.work(t, "1")
	if changed.Price[len(changed.Price)-1].Value.Equal(want.Price[len(want.Price)-1].Value) {
		t.Error("the total is the same after the width changed from 13 in to 20 in")
	}
	s.Set(b.give(t, o.Recipe, "wide", "13 in"))
	back, _ := b.engine.Finish(s)
	for i, l := range back.Price {
		if !l.Value.Equal(want.Price[i].Value) {
			t.Errorf("%s = %s after the change was taken back, want %s", l.Name, l.Value, want.Price[i].Value)
		}
	}
}

// A sheet keeps nothing of the order before.
func TestSheetsAreUsedAgain(t *testing.T) {
	manyBooks(t, 200, func(_ *testing.T, b book) error {
		sheets := map[*eval.Plan]*eval.Sheet{}
		for range 2 {
			for _, o := range b.program.Orders {
				plan := b.engine.Plan(o.Recipe, dayOf(o), o)
				if sheets[plan] == nil {
					sheets[plan] = plan.NewSheet()
				}
				fresh := plan.NewSheet()
				sheets[plan].Fill(o)
				fresh.Fill(o)
				if err := sameSheets(sheets[plan], fresh); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// Many goroutines may plan and work with one engine.
func TestWorkSideBySide(t *testing.T) {
	b, _, _ := randomBook(evaltest.Choices(5))
	nest := read(t, nested)
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for range 20 {
				for _, o := range b.program.Orders {
					b.engine.Work(o, dayOf(o))
				}
				r, problems := nest.engine.Work(nest.program.Orders[0], day)
				if problems != nil {
					t.Error(problems)
					return
				}
				r.Sheet.Scope(0).Eval(nest.program.Rule("labour_rate").Base.Cases[0].Value)
			}
		})
	}
	group.Wait()
}

// checkInUse holds the orders of a book, worked out on plans that are in use, against the slow evaluator.
func checkInUse(b book) error {
	sheets := map[*eval.Plan]*eval.Sheet{}
	for _, o := range b.program.Orders {
		plan := b.engine.Plan(o.Recipe, dayOf(o), o)
		if sheets[plan] == nil {
			plan.InUse()
			sheets[plan] = plan.NewSheet()
		}
		sheets[plan].Fill(o)
		if err := sameAs(sheets[plan], newSlow(b, o)); err != nil {
			return err
		}
	}
	return nil
}

func TestPlansInUseAreSlow(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	manyBooks(t, 400, func(_ *testing.T, b book) error {
		b.program.Orders = append(b.program.Orders, gridOrders(r, b, 10)...)
		return checkInUse(b)
	})
}
