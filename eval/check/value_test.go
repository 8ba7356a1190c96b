package check

import (
	"testing"

	"squab/eval/quantity"
)

func items(items ...Value) Value { return Value{Obj: &Object{Items: items}} }

// Values of one kind have one key exactly where they are equal.
func TestKeysTellValuesApart(t *testing.T) {
	one, third := Num(quantity.Int(1)), Num(quantity.Frac(1, 3))
	root, other := Num(rootOf(2)), Num(rootOf(3))
	kinds := map[string][]Value{
		"numbers": {{}, one, third, Num(quantity.Int(-1)), Num(quantity.Frac(1_000_000_007, 3)), root, other, Num(root.Num.Sub(root.Num)), one},
		"texts":   {TextValue(""), TextValue("a"), TextValue("a b"), TextValue(`a" "b`), TextValue("a")},
		"lists":   {items(), items(Value{}), items(one), items(one, third), items(third, one), items(one, one), items(one)},
		"nested":  {items(), items(items(one), items(third)), items(items(one, third)), items(items(), items(one)), items(items(one), items())},
		"words":   {items(TextValue("a"), TextValue("b")), items(TextValue(`a"["b`)), items(TextValue("a"))},
		"cloths":  {{Obj: &Object{Material: tweed}}, {Obj: &Object{Material: linen}}},
	}
	for kind, values := range kinds {
		for i, v := range values {
			for j, w := range values {
				if v.Equal(w) != (v.Key() == w.Key()) {
					t.Errorf("%s %d and %d: equal %v, keys %q and %q", kind, i, j, v.Equal(w), v.Key(), w.Key())
				}
			}
		}
	}
}

var tweed, linen = &Material{Name: "tweed"}, &Material{Name: "linen"}

func rootOf(n int64) quantity.Number {
	r, _ := quantity.Sqrt(quantity.Int(n))
	return r
}
