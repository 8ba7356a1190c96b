package audit_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/audit"
	"squab/eval/quantity"
	"squab/lang"
)

// shapes are cells of one width that rise and fall, step, jump, or cannot be worked out somewhere.
const shapes = `
recipe strip {
  ask wide: length from 0 in to 10 in
  ask copies: count from 1 to 9 = 3
  need wide < 4 3/8 in or wide > 4 5/8 in else "no strip so wide is to be had"
  hump  = if wide < 5 in then wide else 10 in - wide
  gap   = wide - 4 1/2 in
  steep = wide * 3
  fall  = 10 in - wide
  steps = wide rounded up to 4 in
  rough = sqrt(wide * 1 in) * sqrt(wide * 1 in)
  row   = copies * 2 in
}
order 1 {
  make strip
  wide = 3 in
}
`

// What a search by the inch finds: the stretches on the grid, their exact ends between two inches, where the cell goes past the target, and its extremes.
func TestSeekFollowsTheShapeOfACell(t *testing.T) {
	type answer struct {
		Stretches, Jumps []string
		Least, Most      string
		Refused          int
	}
	tests := []struct {
		cell   string
		op     lang.BinaryOp
		target quantity.Number
		want   answer
	}{
		{"hump", lang.Le, inches(2, 1), answer{[]string{"0 to 2", "8 to 10"}, nil, "0", "5", 0}},
		{"hump", lang.Ge, inches(3, 1), answer{[]string{"3 to 7"}, nil, "0", "5", 0}},
		{"hump", lang.Le, inches(5, 2), answer{[]string{"0 to 5/2", "15/2 to 10"}, nil, "0", "5", 0}},
		{"hump", lang.Ge, inches(5, 2), answer{[]string{"5/2 to 15/2"}, nil, "0", "5", 0}},
		{"hump", lang.Eq, inches(5, 2), answer{[]string{"5/2", "15/2"}, nil, "0", "5", 0}},
		{"hump", lang.Eq, inches(6, 1), answer{nil, nil, "0", "5", 0}},
		{"hump", lang.Eq, inches(5, 1), answer{[]string{"5"}, nil, "0", "5", 0}},
		{"steep", lang.Eq, inches(4, 1), answer{[]string{"4/3"}, nil, "0", "30", 0}},
		{"fall", lang.Le, inches(3, 2), answer{[]string{"17/2 to 10"}, nil, "0", "10", 0}},
		{"steps", lang.Eq, inches(4, 1), answer{[]string{"1 to 4"}, nil, "0", "12", 0}},
		{"steps", lang.Eq, inches(6, 1), answer{nil, []string{"4 to 5"}, "0", "12", 0}},
		{"steps", lang.Le, inches(6, 1), answer{[]string{"0 to 4"}, nil, "0", "12", 0}},
		{"gap", lang.Eq, quantity.Number{}, answer{nil, []string{"4 to 5"}, "-9/2", "11/2", 0}}, // where it would be, the order is refused
		{"gap", lang.Ge, quantity.Number{}, answer{[]string{"5 to 10"}, nil, "-9/2", "11/2", 0}},
	}
	for _, test := range tests {
		e, o := firstOrder(t, shapes)
		inch := inches(1, 1)
		f, err := audit.Question{Engine: e, Order: o, Cell: test.cell, Ask: "wide"}.Seek(audit.Target{Op: test.op, Value: test.target}, audit.Search{Step: &inch})
		if err != nil {
			t.Fatal(err)
		}
		got := answer{stretches(f), nil, f.Least.String(), f.Most.String(), f.Refused}
		for _, j := range f.Jumps {
			got.Jumps = append(got.Jumps, j.From.String()+" to "+j.To.String())
		}
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%s %s %s (-want +got):\n%s", test.cell, test.op, test.target, diff)
		}
	}
}

// An approximation is never said to be exactly what is sought, though its bound holds it.
func TestNoApproximationMeetsATargetExactly(t *testing.T) {
	e, o := firstOrder(t, shapes)
	inch := inches(1, 1)
	f, err := audit.Question{Engine: e, Order: o, Cell: "rough", Ask: "wide"}.Seek(audit.Target{Op: lang.Eq, Value: inches(5, 2)}, audit.Search{Step: &inch})
	if err != nil || len(f.Stretches) > 0 || len(f.Jumps) != 1 {
		t.Errorf("%v, %v, %v", stretches(f), f.Jumps, err)
	}
}

// A count is tried by whole ones, and nothing between two of them is looked at.
func TestCountsAreSoughtByWholeOnes(t *testing.T) {
	e, o := firstOrder(t, shapes)
	for target, want := range map[quantity.Number][]string{inches(6, 1): {"3"}, inches(5, 1): nil} {
		f, err := audit.Question{Engine: e, Order: o, Cell: "row", Ask: "copies"}.Seek(audit.Target{Op: lang.Eq, Value: target}, audit.Search{})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, stretches(f)); diff != "" || len(f.Jumps) > 0 || f.Tried != 9 || f.Step.String() != "1" {
			t.Errorf("%d tried by %s, %v (-want +got):\n%s", f.Tried, f.Step, f.Jumps, diff)
		}
	}
}
