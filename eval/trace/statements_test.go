package trace_test

import (
	"slices"
	"strings"
	"testing"

	"squab/eval/trace"
	"squab/stdlib"
)

// statements is a house in which every part of every statement has a rule to itself.
const statements = `
shop "Heron Quay Workroom" {
  currency = USD
}
kind cloth: roll {
  usable: length = cloth_usable
  price:  money per length
  sold:   length = cloth_sold
}
kind board: sheet {
  wide:  length = 48 in
  deep:  length = 96 in
  thick: length = thick_of_board
  price: money per each = board_price
}
material tweed: cloth {
  price = tweed_price
}
material linen: cloth {
  price = linen_price
}
material birch: board {
}
rule cloth_usable: length = 54 in
rule cloth_sold: length = 1/4 yd
rule thick_of_board: length = 3/4 in
rule board_price: money per each = $40 per each
rule tweed_price: money per length = $32 per yd
rule linen_price: money per length = $12 per yd
rule which: yes/no = yes
rule pieces: count = 2
rule as_wide: length = 20 in
rule as_deep: length = 10 in
rule is_cut: yes/no = yes
rule is_turned: yes/no = yes
rule on_pattern: point = 2 in at 3 in
rule joined: length = 1/2 in
rule turned_under: length = 1 in
rule taken: length = 3 yd
rule is_used: yes/no = yes
rule pace: time = 4 min
rule warm_up: time = 5 min
rule bench_rate: money per time = $50 per h
rule is_sewn: yes/no = yes
rule fare: money = $20
rule is_fetched: yes/no = yes
recipe pad {
  piece top from (if which then tweed else linen), pieces off = as_wide by as_deep when is_cut { turn = is_turned match = on_pattern beneath = turned_under }
  piece wide from tweed = 60 in by 10 in { join = joined }
  piece base from birch = 20 in by 10 in
  use taken of linen when is_used
  work sewing at bench_rate = pace, setup warm_up when is_sewn
  charge fetching = fare when is_fetched
}
price {
  charge material = bought
  charge labour   = worked
  charge extra    = extras
}
order 1 {
  make pad
  date = 2026-04-02
}
`

// Whatever a statement is worked out from reaches its line, the sum that the line is in, and the price, in the order and in the book.
func TestEveryPartOfAStatementReachesItsLine(t *testing.T) {
	p := programOf(t, false, statements)
	r := workedOut(t, p)
	bought, worked, extras := "price.bought price.total price.material", "price.worked price.total price.labour", "price.extras price.total price.extra"
	for name, want := range map[string]string{
		"which": "buy.tweed " + bought, "pieces": "buy.tweed " + bought, "as_wide": "buy.tweed " + bought, "as_deep": "buy.tweed " + bought,
		"is_cut": "buy.tweed " + bought, "is_turned": "buy.tweed " + bought, "on_pattern": "buy.tweed " + bought, "joined": "buy.tweed " + bought,
		"cloth_usable": "buy.tweed " + bought, "tweed_price": "buy.tweed " + bought, "cloth_sold": "buy.tweed buy.linen " + bought,
		"turned_under": "", "thick_of_board": "",
		"board_price": "buy.birch " + bought, "linen_price": "buy.linen " + bought, "taken": "buy.linen " + bought, "is_used": "buy.linen " + bought,
		"pace": "work.sewing " + worked, "warm_up": "work.sewing " + worked, "bench_rate": "work.sewing " + worked, "is_sewn": "work.sewing " + worked,
		"fare": extras, "is_fetched": extras,
	} {
		target, err := trace.FindTarget(p, name)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(linesOf(target.In(r, stdlib.LaidBy())), " "); got != want {
			t.Errorf("order 1 used %s in %q, not in %q", name, got, want)
		}
		var prices []string
		for _, line := range strings.Fields(want) {
			if cell, ok := strings.CutPrefix(line, "price."); ok {
				prices = append(prices, cell)
			}
		}
		if got := pricesOf(target.Reach(p, stdlib.LaidBy())); !slices.Equal(got, prices) {
			t.Errorf("of the price %s may reach %v, not %v", name, got, prices)
		}
	}
}

// linesOf keeps the lines of an order's result.
func linesOf(names []string) []string {
	return slices.DeleteFunc(names, func(name string) bool {
		front, _, _ := strings.Cut(name, ".")
		return front != "buy" && front != "work" && front != "price"
	})
}

func pricesOf(book trace.Reached) []string {
	for _, r := range book.Recipes {
		if r.Name == "price" {
			return r.Cells
		}
	}
	return nil
}
