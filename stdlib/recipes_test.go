package stdlib

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
	"squab/stdlib/layout"
)

// ordersOfEachRecipe is how many orders of each recipe are tried.
const ordersOfEachRecipe = 40

// TestRecipesOverTheirRanges works orders with sizes from all over each ask's range. An order may be refused by a need of its recipe,
// or because no layout takes its pieces; anything else is a mistake of the library.
func TestRecipesOverTheirRanges(t *testing.T) {
	house := open(t, published)
	rng := rand.New(rand.NewPCG(1, 2))
	var orders strings.Builder
	for _, r := range house.program.Recipes {
		for i := range ordersOfEachRecipe {
			fmt.Fprintf(&orders, "order \"%s %d\" {\n  make %s\n", r.Name, i, r.Name)
			for _, ask := range r.Asks {
				if text := randomAsk(rng, house.program, ask, i); text != "" {
					fmt.Fprintf(&orders, "  %s = %s\n", ask.Name, text)
				}
			}
			orders.WriteString("}\n")
		}
	}
	b := openWith(t, orders.String(), published)
	tried := tryOrders(t, b)
	for _, r := range b.program.Recipes {
		if tried[r.Name] == 0 {
			t.Errorf("%s: every order was refused, so nothing was tried", r.Name)
		}
	}
}

// tryOrders works every order and counts by recipe those that were made.
func tryOrders(t *testing.T, b book) map[string]int {
	t.Helper()
	made := map[string]int{}
	engine := &eval.Engine{Program: b.program, Lay: Lay(layout.Effort{Work: 20})}
	for _, o := range b.program.Orders {
		_, problems := engine.Work(o, 20_000)
		if len(problems) == 0 {
			made[o.Recipe.Name]++
		}
		for _, d := range problems {
			if !mayRefuse(d) {
				t.Errorf("order %s: %s\n%s", o.ID, b.line(d), b.files.Text(o.At))
			}
		}
	}
	return made
}

func mayRefuse(d diag.Diagnostic) bool {
	return d.Code == "need-failed" || d.Code == "layout" && strings.Contains(d.Message, "cannot be cut from")
}

// randomAsk writes a value for an ask: a place in its range, its least, its most, or nothing where it has a default.
func randomAsk(rng *rand.Rand, p *check.Program, ask *check.Cell, round int) string {
	if ask.Expr != nil && (round == 0 || rng.IntN(3) == 0) {
		return ""
	}
	switch ask.Type.Base {
	case check.OfMaterial:
		return randomMaterial(rng, p, ask.Type.Kind)
	case check.ChoiceWord:
		return ask.Type.Choice.Words[rng.IntN(len(ask.Type.Choice.Words))]
	case check.YesNo:
		return [2]string{"no", "yes"}[rng.IntN(2)]
	case check.Quantity:
		return randomMeasure(rng, ask)
	}
	return ""
}

func randomMaterial(rng *rand.Rand, p *check.Program, kind *check.Kind) string {
	var all []string
	for _, m := range p.Materials {
		if m.Kind == kind {
			all = append(all, m.Name)
		}
	}
	return all[rng.IntN(len(all))]
}

func randomMeasure(rng *rand.Rand, ask *check.Cell) string {
	one, step := "1", quantity.Int(1)
	switch ask.Type.String() {
	case "length":
		one, step = "1 in", quantity.Frac(1, 16)
	case "mass":
		one = "1 lb"
	}
	from := bound(ask.From)
	steps, _ := bound(ask.To).Sub(from).Div(step)
	n, _ := steps.RoundDown(quantity.Int(1))
	most, _ := n.Int64()
	at := [...]int64{0, most, rng.Int64N(most + 1), rng.Int64N(most/8 + 1)}[rng.IntN(4)]
	return fmt.Sprintf("(%s) * %s", from.Add(step.Mul(quantity.Int(at))), one)
}

func bound(e check.Expr) quantity.Number {
	if k, ok := e.(*check.Const); ok {
		return k.Value.Num
	}
	return quantity.Number{}
}
