package eval_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/quantity"
)

const shared = `
kind cloth: roll {
  usable: length = 10 in
  price:  money per length = $2 per in
  sold:   length = 6 in
}
kind slab: sheet {
  wide:  length = 20 in
  deep:  length = 10 in
  price: money per each = $7 per each
}
material tweed: cloth { price = $1 per in }
amend material tweed from 2026-03-01 { price = $3 per in }
material soft: slab { price = $7 per each }
material hard: slab { price = $5 per each }
recipe mat {
  ask n: count from 0 to 9 = 1
  piece top from tweed = 10 in by 5 in when n > 0
  piece core from soft, n off = 10 in by 10 in
  use 1 in of tweed
}
price {
  charge material = bought
}
order 1 {
  make mat
  date = 2026-02-01
}
order 2 {
  make mat, 2 off
  date = 2026-04-01
}
order 3 {
  make mat
  n = 0
}
`

// What several orders buy together, by hand: order 1 uses 1 in of tweed besides its 5 in of pieces, order 2 uses 2 in besides 10 in, order 3 1 in.
func TestBoughtTogetherByHand(t *testing.T) {
	b := read(t, shared)
	tweed, soft, hard := b.program.Material("tweed"), b.program.Material("soft"), b.program.Material("hard")
	tests := []struct {
		name   string
		orders []string
		joint  []eval.Layout
		want   []string
	}{
		{"as long as one by one", []string{"1", "2"}, []eval.Layout{{Material: tweed, Used: quantity.Int(15)}, {Material: soft, Used: quantity.Int(2)}},
			[]string{"tweed need 18 buy 18 cost 18", "soft need 2 buy 2 cost 14"}},
		{"shorter", []string{"1", "2"}, []eval.Layout{{Material: tweed, Used: quantity.Int(9)}, {Material: soft, Used: quantity.Int(1)}},
			[]string{"tweed need 12 buy 12 cost 12", "soft need 1 buy 1 cost 7"}},
		{"at the price of the first that takes it", []string{"2", "1"}, []eval.Layout{{Material: tweed, Used: quantity.Int(9)}, {Material: soft, Used: quantity.Int(1)}},
			[]string{"tweed need 12 buy 12 cost 36", "soft need 1 buy 1 cost 7"}},
		{"from another size, and none of its own", []string{"1", "2"}, []eval.Layout{{Material: tweed, Used: quantity.Int(15)}, {Material: soft, Used: quantity.Int(2), Taken: []eval.Taken{{Material: hard, Amount: quantity.Int(2)}}}},
			[]string{"tweed need 18 buy 18 cost 18", "hard need 2 buy 2 cost 10"}},
		{"nothing but what is used", []string{"3"}, nil, []string{"tweed need 1 buy 6 cost 18"}},
	}
	for _, tt := range tests {
		var results []*eval.Result
		for _, id := range tt.orders {
			r, problems := b.work(t, id)
			if len(problems) > 0 {
				t.Fatal(id, problems)
			}
			results = append(results, r)
		}
		lines, problems := eval.BuyTogether(results, tt.joint)
		var got []string
		for _, l := range lines {
			got = append(got, fmt.Sprintf("%s need %s buy %s cost %s", l.Material.Name, l.Need, l.Buy, l.Cost))
		}
		if diff := cmp.Diff(tt.want, got); diff != "" || len(problems) > 0 {
			t.Errorf("%s (-want +got):\n%s%v", tt.name, diff, problems)
		}
	}
}
