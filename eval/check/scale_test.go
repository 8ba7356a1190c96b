package check_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// scaled lists the asks of the scaling books: a unit of each, its kind, and the power to which each base measure enters it.
var scaled = []struct {
	name, kind, unit string
	dim              quantity.Dimension
}{
	{"long", "length", "in", quantity.LengthDim},
	{"wide", "length", "in", quantity.LengthDim},
	{"face", "area", "in2", quantity.AreaDim},
	{"bulk", "volume", "in3", quantity.VolumeDim},
	{"load", "mass", "lb", quantity.MassDim},
	{"spell", "time", "min", quantity.TimeDim},
	{"turn", "angle", "deg", quantity.AngleDim},
	{"cash", "money", "$", quantity.MoneyDim},
	{"wage", "money per time", "$ min", quantity.Dimension{Money: 1, Time: -1}},
	{"dear", "money per length", "$ in", quantity.Dimension{Money: 1, Length: -1}},
	{"many", "count", "", quantity.Plain},
	{"share", "number", "", quantity.Plain},
	{"pace", "time per each", "min each", quantity.TimeDim},
}

// formulaOf draws a formula of any kind, right or wrong.
func (d draw) formulaOf(deep int) string {
	if deep == 0 || d.IntN(5) == 0 {
		if d.IntN(8) == 0 {
			return fmt.Sprint(1 + d.IntN(5))
		}
		return scaled[d.IntN(len(scaled))].name
	}
	x, y := d.formulaOf(deep-1), d.formulaOf(deep-1)
	switch d.IntN(12) {
	case 0, 1:
		return "(" + x + " + " + y + ")"
	case 2:
		return "(" + x + " - " + x + " / " + y + ")"
	case 3, 4, 5:
		return "(" + x + " * " + y + ")"
	case 6, 7:
		return "(" + x + " / " + y + ")"
	case 8:
		return "sqrt(abs(" + x + " * " + y + "))"
	case 9:
		return "(" + x + " rounded " + []string{"up to ", "down to ", "to "}[d.IntN(3)] + d.formulaOf(0) + ")"
	case 10:
		return "(if " + x + " > " + x + " / 2 then " + y + " else " + d.formulaOf(deep-1) + ")"
	}
	return []string{"max", "min"}[d.IntN(2)] + "(" + x + ", " + y + ")"
}

// factors is by how much each base measure is scaled.
type factors struct{ length, mass, time, angle, money quantity.Number }

func (d draw) factors() factors {
	one := func() quantity.Number { return quantity.Frac(1+d.Int64N(9), 1+d.Int64N(9)) }
	return factors{one(), one(), one(), one(), one()}
}

// of is by how much a value of a dimension is scaled.
func (f factors) of(dim quantity.Dimension) quantity.Number {
	all := quantity.Int(1)
	for _, p := range []struct {
		n     quantity.Number
		power int8
	}{{f.length, dim.Length}, {f.mass, dim.Mass}, {f.time, dim.Time}, {f.angle, dim.Angle}, {f.money, dim.Money}} {
		n, _ := quantity.Pow(p.n, int(p.power))
		all = all.Mul(n)
	}
	return all
}

// given writes an order that gives every ask a value, scaled.
func given(id int, values []quantity.Number, f factors) string {
	text := fmt.Sprintf("order %d {\n make pad\n", id)
	for i, a := range scaled {
		n := values[i].Mul(f.of(a.dim)).Rat()
		number := fmt.Sprintf("%s/%s", n.Num(), n.Denom())
		if n.IsInt() {
			number = n.Num().String()
		}
		parts := strings.Fields(a.unit)
		switch {
		case a.unit == "":
		case parts[0] == "$" && len(parts) > 1:
			number = "$" + number + " per " + parts[1]
		case parts[0] == "$":
			number = "$" + number
		case len(parts) > 1:
			number += " " + parts[0] + " per " + parts[1]
		default:
			number += " " + a.unit
		}
		text += " " + a.name + " = " + number + "\n"
	}
	return text + "}\n"
}

// What the checker lets pass scales as it says: when every measure is told in a unit so many times smaller, a cell's value grows by that factor to
// the powers of its dimension. That is what a dimension means (Bridgman, Dimensional Analysis, 1922, chapter 2).
func TestDimensionsScale(t *testing.T) {
	sound, wrong := 0, 0
	for seed := range uint64(6000) {
		d := draw{rand.New(rand.NewPCG(seed, 5))}
		formula := d.formulaOf(3)
		book := "recipe pad {\n"
		values := make([]quantity.Number, len(scaled))
		for i, a := range scaled {
			book += " ask " + a.name + ": " + a.kind + "\n"
			values[i] = quantity.Frac(1+d.Int64N(20), 1+d.Int64N(4))
			if a.name == "many" {
				values[i] = quantity.Int(1 + d.Int64N(5))
			}
		}
		f := d.factors()
		one := quantity.Int(1)
		book += " x = " + formula + "\n}\n" + given(1, values, factors{one, one, one, one, one}) + given(2, values, f)
		p, problems := checkText(book)
		if len(problems) > 0 {
			wrong++
			continue
		}
		sound++
		scales(t, p, f, seed, book)
	}
	if sound < 500 {
		t.Errorf("only %d formulas are sound, and %d wrong", sound, wrong)
	}
	t.Logf("%d formulas of 6000 are sound", sound)
}

func scales(t *testing.T, p *check.Program, f factors, seed uint64, book string) {
	t.Helper()
	var values [2]quantity.Number
	e := eval.Engine{Program: p}
	cell := p.Recipe("pad").Cell("x")
	for i, o := range p.Orders {
		s := e.Plan(o.Recipe, 0, o).NewSheet()
		s.Fill(o)
		v, fault := s.Value(cell.Index)
		if fault != nil {
			return
		}
		values[i] = v.Num
	}
	if cell.Type.Base != check.Quantity {
		return
	}
	want := values[0].Mul(f.of(cell.Type.Dim))
	if order, decided := want.Cmp(values[1]); order != 0 && decided {
		t.Fatalf("seed %d: x is %s at first and %s scaled, want %s, as %s scales\n%s", seed, values[0], values[1], want, cell.Type, book)
	}
}
