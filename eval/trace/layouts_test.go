package trace_test

import (
	"slices"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// laidOut works every order of the example, laid out.
func laidOut(t *testing.T) []*eval.Result {
	t.Helper()
	p := workroom(t)
	e := &eval.Engine{Program: p, Lay: stdlib.Lay(layout.Effort{Work: 200, Workers: 1})}
	var all []*eval.Result
	for _, o := range p.Orders {
		r, problems := e.Work(o, o.Date)
		if len(problems) > 0 {
			t.Fatalf("order %s: %s", o.ID, problems[0].Message)
		}
		all = append(all, r)
	}
	return all
}

// TestWhatALayoutUses explains every layout of the example: its value is what the layout takes, it names what set the length, what the bound rests
// on, and it comes of the sizes of exactly the pieces that lie on it.
func TestWhatALayoutUses(t *testing.T) {
	for _, r := range laidOut(t) {
		for _, l := range r.Layouts {
			name := "layout." + l.Material.Name + ".used"
			n, err := trace.Explain(r.Sheet, r, name)
			if err != nil {
				t.Errorf("order %s: %v", r.Order.ID, err)
				continue
			}
			if !n.Value.Num.Equal(l.Used) {
				t.Errorf("%s is %s, want %s", name, n.Value.Num, l.Used)
			}
			notes := strings.Join(n.Notes, "\n")
			for _, want := range append(slices.Clone(l.SetBy), l.Rests) {
				if !strings.Contains(notes, want) {
					t.Errorf("order %s: %s does not tell of %s:\n%s", r.Order.ID, name, want, notes)
				}
			}
			if proves := strings.Contains(notes, "proved"); proves != l.Proved {
				t.Errorf("order %s: %s: proved %v, and it says:\n%s", r.Order.ID, name, l.Proved, notes)
			}
			holdsPieces(t, r, l, n)
		}
	}
}

func holdsPieces(t *testing.T, r *eval.Result, l eval.Layout, n *trace.Node) {
	t.Helper()
	for _, p := range r.Pieces {
		named := slices.ContainsFunc(n.From, func(from *trace.Node) bool { return strings.HasPrefix(from.Name, p.Name+".") })
		if named != (p.Material == l.Material) {
			t.Errorf("order %s: %s tells of %s: %v", r.Order.ID, n.Name, p.Name, named)
		}
	}
	if len(l.SetBy) > 0 && !strings.HasPrefix(n.From[0].Name, l.SetBy[0]+".") && !slices.Contains(l.SetBy, before(n.From[0].Name)) {
		t.Errorf("order %s: %s tells of %s first, and %s set the length", r.Order.ID, n.Name, n.From[0].Name, l.SetBy)
	}
}

func before(name string) string { return name[:strings.LastIndexByte(name, '.')] }

// TestLayoutsByOtherNames asks for a layout by the ask that is its material, and for the only one without a name; what is no layout is told of.
func TestLayoutsByOtherNames(t *testing.T) {
	r := laidOut(t)[0]
	byAsk, err := trace.Explain(r.Sheet, r, "layout.cover.used")
	byName, err2 := trace.Explain(r.Sheet, r, "layout.harbour_tweed.used")
	if err != nil || err2 != nil || byAsk.Shown != byName.Shown {
		t.Errorf("the ask's layout is not its material's: %v, %v", err, err2)
	}
	for _, name := range []string{"layout.felt.used", "layout.used", "layout.cover.waste"} {
		if _, err := trace.Explain(r.Sheet, r, name); err == nil || !strings.Contains(err.Error(), "layout.harbour_tweed.used") {
			t.Errorf("%s: the error names no layout that there is: %v", name, err)
		}
	}
	one := *r
	one.Layouts = r.Layouts[:1]
	if n, err := trace.Explain(r.Sheet, &one, "layout.used"); err != nil || !n.Value.Num.Equal(r.Layouts[0].Used) {
		t.Errorf("the only layout is not found: %v", err)
	}
}

// TestSizesAreToldByWhatTheyCost explains a layout that several sizes serve, and the need of a size that is not the material named.
func TestSizesAreToldByWhatTheyCost(t *testing.T) {
	all := laidOut(t)
	r := all[len(all)-1]
	n, err := trace.Explain(r.Sheet, r, "layout.flat_batten.used")
	if err != nil || !strings.Contains(strings.Join(n.Notes, "\n"), "$22.80") {
		t.Errorf("what the battens come to is not told: %v", err)
	}
	half, err := trace.Explain(r.Sheet, r, "buy.birch_half")
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(half.From, func(need *trace.Node) bool {
		return slices.ContainsFunc(need.From, func(from *trace.Node) bool { return from.Name == "layout.birch_board.used" })
	}) {
		t.Error("half a sheet is bought, and nothing tells that the board's layout takes it")
	}
}

// TestNotLaidOutIsSaid tells where a need is by area alone.
func TestNotLaidOutIsSaid(t *testing.T) {
	p := workroom(t)
	r, _ := (&eval.Engine{Program: p}).Work(p.Orders[0], p.Orders[0].Date)
	n, err := trace.Explain(r.Sheet, r, "layout.cover.used")
	if err != nil || !strings.Contains(strings.Join(n.Notes, "\n"), "by area alone") {
		t.Errorf("it is not said: %v", err)
	}
	if least, _ := check.Num(quantity.Int(0)).Num.Cmp(n.Value.Num); least >= 0 {
		t.Errorf("it takes %s", n.Value.Num)
	}
}
