package audit

import (
	"reflect"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/quantity"
)

// notLaidBy are the fields of a piece that no layout reads: the material is known by its name, and the rest is for the page.
var notLaidBy = map[string]bool{"Material": true, "Form": true, "Thick": true, "HasThick": true, "Edge": true, "At": true}

// Two pieces that differ in anything that a layout may read are not taken for one another.
func TestEveryFieldOfAPieceKeepsLayoutsApart(t *testing.T) {
	plain := eval.Piece{Name: "top", Order: "1", Wide: quantity.Int(20), Deep: quantity.Int(10), Count: 1, Up: "deep"}
	one, two := quantity.Int(1), quantity.Frac(1, 2)
	others := map[string][]eval.Piece{
		"Name":       {{Name: "side"}},
		"Order":      {{Order: "2"}, {Order: `1" top`}},
		"Wide":       {{Wide: quantity.Frac(321, 16)}},
		"Deep":       {{Deep: quantity.Frac(1, 16)}},
		"Count":      {{Count: 2}, {Count: 10_001}, {Count: 10_002}},
		"Up":         {{Up: "wide"}},
		"Turn":       {{Turn: true}},
		"Match":      {{Match: &eval.Point{}}, {Match: &eval.Point{X: one}}, {Match: &eval.Point{Y: one}}},
		"Join":       {{Join: &one}, {Join: &two}},
		"Bias":       {{Bias: &one}, {Bias: &two}},
		"Mitre":      {{Mitre: one}},
		"SideBySide": {{SideBySide: true}},
	}
	keys := map[string]string{keyOf(plain): "plain"}
	for _, field := range reflect.VisibleFields(reflect.TypeFor[eval.Piece]()) {
		if others[field.Name] == nil && !notLaidBy[field.Name] {
			t.Errorf("a piece has %s, and it is not said whether layouts read it", field.Name)
		}
		for _, other := range others[field.Name] {
			changed := plain
			reflect.ValueOf(&changed).Elem().FieldByIndex(field.Index).Set(reflect.ValueOf(other).FieldByIndex(field.Index))
			key := keyOf(changed)
			if was := keys[key]; was != "" {
				t.Errorf("another %s has the key of %s: %s", field.Name, was, key)
			}
			keys[key] = field.Name
		}
	}
}

func keyOf(p eval.Piece) string {
	var b strings.Builder
	writePiece(&b, p)
	return b.String()
}
