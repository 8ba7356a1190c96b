package eval_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// columnsOf makes the columns of orders that are made from one plan; an ask that no order gives has none.
func columnsOf(orders []*check.Order) eval.Orders {
	r := orders[0].Recipe
	in := eval.Orders{Count: len(orders), Asks: make([][]check.Value, len(r.Asks))}
	for k, ask := range r.Asks {
		given := false
		var values []check.Value
		for _, o := range orders {
			v := eval.NotGiven()
			if cell := o.Given[ask.Index]; cell != nil {
				v, given = fixedValue(cell), true
			}
			values = append(values, v)
		}
		if given {
			in.Asks[k] = values
		}
	}
	for _, o := range orders {
		one := check.Bool(true)
		if k, ok := o.Off.(*check.Const); ok {
			one = k.Value
		}
		in.Off = append(in.Off, one)
	}
	return in
}

// fixedValue works out what an order gives, with the slow evaluator where it is more than a literal.
func fixedValue(cell *check.Cell) check.Value {
	if k, ok := cell.Expr.(*check.Const); ok {
		return k.Value
	}
	return fastValue(env{}.eval(cell.Expr))
}

// sameRow compares every slot of a row with a sheet filled for the same order.
func sameRow(r eval.Row, s *eval.Sheet, slots int) error {
	for i := range slots {
		name := s.Plan.Slots[i].Name
		v, fault := r.Value(i)
		w, want := s.Value(i)
		if (fault == nil) != (want == nil) || fault != nil && (fault.Code != want.Code) {
			return fmt.Errorf("%s: fault %v, want %v", name, fault, want)
		}
		if fault == nil && !v.Equal(w) {
			return fmt.Errorf("%s: %v %v, want %v %v", name, v.Num, v.Items(), w.Num, w.Items())
		}
	}
	return nil
}

// checkBatch holds a batch of a book's orders against sheets, value by value, and its judgement against what an order comes to.
func checkBatch(b book, count *eval.Counts, unproven *int) error {
	byPlan := map[*eval.Plan][]*check.Order{}
	for _, o := range b.program.Orders {
		p := b.engine.Plan(o.Recipe, dayOf(o), o)
		byPlan[p] = append(byPlan[p], o)
	}
	for p, orders := range byPlan {
		batch, err := p.Batch()
		if err != nil {
			return err
		}
		*unproven += len(batch.Unproven())
		s := p.NewSheet()
		batch.Run(columnsOf(orders), func(i int, r eval.Row) {
			if err != nil {
				return
			}
			s.Fill(orders[i])
			if err = sameRow(r, s, len(check.Layout(p.Recipe))); err != nil {
				err = fmt.Errorf("order %s: %w", orders[i].ID, err)
				return
			}
			if _, problems := b.engine.Finish(s); r.Sound() && refusedEarly(problems) {
				err = fmt.Errorf("order %s: sound, but %s", orders[i].ID, codes(problems))
			}
		})
		if err != nil {
			return err
		}
		c := batch.Counts()
		count.Orders += c.Orders
		count.Uncovered += c.Uncovered
		count.Values += c.Values
	}
	return nil
}

// refusedEarly reports whether an order is refused for more than its layout, its buying or its price.
func refusedEarly(problems []diag.Diagnostic) bool {
	for _, d := range problems {
		switch d.Code {
		case "layout", "sold-nothing", "field-missing":
		default:
			return true
		}
	}
	return false
}

// fastValue is a value of the slow evaluator as the evaluator has it.
func fastValue(v slowValue) check.Value {
	out := check.Num(quantity.FromRat(v.num))
	if v.material != nil {
		out.Obj = &check.Object{Material: v.material}
	}
	return out
}

func TestBatchIsSheets(t *testing.T) {
	n := 1000
	if testing.Short() {
		n = 400
	}
	var count eval.Counts
	unproven := 0
	manyBooks(t, n, func(_ *testing.T, b book) error { return checkBatch(b, &count, &unproven) })
	t.Logf("%d orders, %d uncovered, %d values one by one, %d slots unproven", count.Orders, count.Uncovered, count.Values, unproven)
}

// gridOrders makes orders for a random book's recipe whose asks lie where columns take them, but for one in twenty.
func gridOrders(r *rand.Rand, b book, n int) []*check.Order {
	pad := b.program.Recipe("pad")
	var orders []*check.Order
	for i := range n {
		o := &check.Order{ID: fmt.Sprint(i), Recipe: pad, Given: map[int]*check.Cell{}, Off: check.Literal(check.Num(quantity.Int(1+r.Int64N(3))), check.CountType(), pad.At)}
		for _, ask := range pad.Asks {
			if ask.Name == "wide" || r.IntN(5) > 0 {
				o.Given[ask.Index] = &check.Cell{Name: ask.Name, Type: ask.Type, Index: ask.Index, Expr: check.Literal(gridValue(r, b, ask), ask.Type, ask.At)}
			}
		}
		orders = append(orders, o)
	}
	return orders
}

func gridValue(r *rand.Rand, b book, ask *check.Cell) check.Value {
	odd := r.IntN(20) == 0
	switch ask.Name {
	case "wide", "deep":
		if odd {
			return check.Num(quantity.Frac(r.Int64N(9000)-1000, 37))
		}
		return check.Num(quantity.Frac(16+r.Int64N(200), 1<<r.IntN(5)))
	case "share":
		return check.Num(quantity.Frac(r.Int64N(500)-100, 100))
	case "paid":
		return check.Num(quantity.Frac(r.Int64N(50_000), 100))
	case "welted":
		return check.Bool(r.IntN(2) == 0)
	case "cover", "other":
		of := []string{"harbour_tweed", "quay_vinyl", "pile"}[r.IntN(3)]
		return check.Value{Obj: &check.Object{Material: b.program.Material(of)}}
	}
	if odd {
		return check.Num(quantity.Int(r.Int64N(40) - 20))
	}
	return check.Num(quantity.Int(r.Int64N(7)))
}

// Orders whose asks lie on their grids are worked out by columns, and still come to the same.
func TestBatchOnTheGridIsSheets(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 150
	}
	r := rand.New(rand.NewPCG(11, 7))
	var count eval.Counts
	unproven := 0
	manyBooks(t, n, func(_ *testing.T, b book) error {
		b.program.Orders = gridOrders(r, b, 20)
		return checkBatch(b, &count, &unproven)
	})
	t.Logf("%d orders, %d uncovered, %d values one by one, %d slots unproven", count.Orders, count.Uncovered, count.Values, unproven)
	if count.Uncovered*3 > count.Orders {
		t.Errorf("%d of %d orders were not covered: this proves too little", count.Uncovered, count.Orders)
	}
}

// Batches, and sheets of a plan in use, come to what a sheet filled once does, whatever the book.
func FuzzColumns(f *testing.F) {
	for i := range uint64(8) {
		f.Add(evaltest.Choices(i), i)
	}
	f.Fuzz(func(t *testing.T, choices []byte, seed uint64) {
		b, text, ok := randomBook(choices)
		if !ok {
			t.Skip()
		}
		b.program.Orders = append(b.program.Orders, gridOrders(rand.New(rand.NewPCG(seed, 3)), b, 10)...)
		var count eval.Counts
		unproven := 0
		if err := checkBatch(b, &count, &unproven); err != nil {
			t.Fatalf("%v\n%s", err, numbered(text))
		}
		if err := checkInUse(b); err != nil {
			t.Fatalf("%v\n%s", err, numbered(text))
		}
	})
}
