package eval_test

import (
	"fmt"
	"testing"

	"squab/eval"
	"squab/eval/evaltest"
)

// fieldBook is a book of three tapes that differ in how much is allowed for joins, and an order in each.
func fieldBook(allowed [3]string) string {
	text := evaltest.Trade + `
kind tape: supply {
  join:  length
  label: size
  price: money per length
  sold:  length = 1 yd
}
recipe binding {
  ask wide: length from 1 in to 100 in
  ask tape: tape
  need_of_it = wide + tape.join
  twice = 2 * tape.join
  label = tape.label
  beside = wide + tape.label.deep
}
`
	for i, a := range allowed {
		text += fmt.Sprintf("material tape_%d: tape {\n  price = $1 per yd\n  join = %s\n  label = %d in by %s\n}\n", i, a, i, a)
		text += fmt.Sprintf("order %d {\n  make binding\n  wide = 10 in\n  tape = tape_%d\n}\n", i, i)
	}
	return text
}

func TestFieldsOfMaterialsInColumns(t *testing.T) {
	for _, allowed := range [][3]string{
		{"0 in", "1/2 in", "1/3 in"},
		{"1/2 in", "0 in", "1/3 in"},
		{"1/3 in", "1/2 in", "0 in"},
		{"0 in", "0 in", "3/8 in"},
		{"0 in", "0 in", "0 in"},
		{"-1/2 in", "2 in", "1/7 in"},
		{"5 ft", "1 mm", "0 in"},
	} {
		b := read(t, fieldBook(allowed))
		var counts eval.Counts
		unproven := 0
		if err := checkBatch(b, &counts, &unproven); err != nil {
			t.Errorf("%v: %v", allowed, err)
		}
		if unproven != 0 || counts.Values != 0 || counts.Uncovered != 0 {
			t.Errorf("%v: %d cells unproven, %+v: want every value from columns", allowed, unproven, counts)
		}
	}
}
