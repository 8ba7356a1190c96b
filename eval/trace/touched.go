package trace

import (
	"slices"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
)

// In lists the cells and the lines of an order's result that rested on a target when the order was worked out: through the cases chosen and the branches
// taken, not through those that were passed over. laid are the fields that a layout reads of a material.
func (t Target) In(r *eval.Result, laid []string) []string {
	u := &used{t: t, s: r.Sheet, laid: laid, slots: map[int]bool{}, calls: map[string]bool{}, fields: map[fieldKey]bool{}, named: map[string]bool{}}
	var all []string
	for i, slot := range r.Sheet.Plan.Slots {
		if i < u.priceFrom() && u.slot(i) {
			all = appendOnce(all, shownName(slot))
		}
	}
	u.statements(r.Recipe, 0, "")
	all = append(all, u.lines(r)...)
	for i := u.priceFrom(); i < len(r.Sheet.Plan.Slots); i++ {
		if u.slot(i) {
			all = appendOnce(all, shownName(r.Sheet.Plan.Slots[i]))
		}
	}
	return all
}

// used is one order gone through for a target.
type used struct {
	t      Target
	s      *eval.Sheet
	laid   []string
	slots  map[int]bool
	calls  map[string]bool
	fields map[fieldKey]bool
	named  map[string]bool // lines of the result
	sums   [3]bool         // bought, worked, extras
}

func (u *used) priceFrom() int { return u.s.Plan.PriceSlot(&check.Cell{}) }

func (u *used) slot(i int) bool {
	touched, known := u.slots[i]
	if known {
		return touched
	}
	s := u.s.Plan.Slots[i]
	touched = s.Cell == u.t.cell || u.sum(i)
	if given := u.s.Given(i); given != nil {
		touched = touched || u.expr(given.Expr, u.s.Scope(0))
	} else if s.Formula != nil {
		touched = touched || u.expr(s.Formula.Expr, u.s.Scope(s.Home))
	}
	if v, fault := u.s.Value(i); fault == nil && v.Material() != nil {
		touched = touched || u.isMaterial(v.Material())
	}
	u.slots[i] = touched
	return touched
}

// sum reports whether a slot of the price is the sum of lines that rest on the target.
func (u *used) sum(i int) bool {
	switch u.s.Plan.Slots[i].Name {
	case "price.bought":
		return u.sums[0]
	case "price.worked":
		return u.sums[1]
	case "price.extras":
		return u.sums[2]
	}
	return false
}

func (u *used) isMaterial(m *check.Material) bool { return u.t.field == nil && m == u.t.material }

// expr reports whether a formula rested on the target as it was worked out.
func (u *used) expr(e check.Expr, sc eval.Scope) bool {
	switch e := e.(type) {
	case nil:
		return false
	case *check.Const:
		return u.isMaterial(e.Value.Material()) && e.Value.Material() != nil
	case *check.CellRef:
		return u.ref(e, sc)
	case *check.RuleCall:
		return u.call(e, sc)
	case *check.FieldOf:
		v, _ := sc.Eval(e.X)
		return u.expr(e.X, sc) || v.Material() != nil && u.field(v.Material(), v.Material().Kind.Fields[e.Field.Index])
	case *check.If:
		return u.branch(e, sc)
	case *check.Binary:
		return u.binary(e, sc)
	case *check.ForEach:
		return u.loop(e, sc)
	}
	return slices.ContainsFunc(check.Children(e), func(child check.Expr) bool { return u.expr(child, sc) })
}

func (u *used) branch(e *check.If, sc eval.Scope) bool {
	taken := e.Else
	if v, _ := sc.Eval(e.Cond); v.Yes() {
		taken = e.Then
	}
	return u.expr(e.Cond, sc) || u.expr(taken, sc)
}

func (u *used) binary(e *check.Binary, sc eval.Scope) bool {
	if u.expr(e.X, sc) {
		return true
	}
	if e.Op == lang.And || e.Op == lang.Or {
		if v, _ := sc.Eval(e.X); v.Yes() == (e.Op == lang.Or) {
			return false
		}
	}
	return u.expr(e.Y, sc)
}

func (u *used) ref(e *check.CellRef, sc eval.Scope) bool {
	switch e.In {
	case check.InRecipe:
		return u.slot(e.At(sc.Home))
	case check.InPrice:
		return u.slot(u.s.Plan.PriceSlot(e.Cell))
	case check.InMaterial:
		return u.field(sc.Material, sc.Material.Kind.Fields[e.Cell.Index])
	case check.InRule:
		return e.Cell.Role == check.FormulaCell && u.expr(e.Cell.Expr, sc)
	}
	return false
}

// call goes into the case that a rule chose; its conditions, and those of the cases before it, were read too.
func (u *used) call(e *check.RuleCall, sc eval.Scope) bool {
	call := sc.Call(e.Rule, e.Args, e.Span())
	key := callKey(call)
	touched, known := u.calls[key]
	if !known {
		touched = u.chose(call)
		u.calls[key] = touched
	}
	return touched || slices.ContainsFunc(e.Args, func(a check.Expr) bool { return u.expr(a, sc) })
}

func (u *used) chose(call eval.Call) bool {
	if call.Rule == u.t.rule && (u.t.row == nil || u.t.row == call.Case || u.t.row == call.Above) {
		return true
	}
	var read []check.Expr
	for _, p := range call.Passed {
		if p.Case != nil {
			read = append(read, p.Case.When)
		}
	}
	for _, k := range []*check.Case{call.Case, call.Above} {
		if k != nil {
			read = append(read, k.When, k.Value)
		}
	}
	return slices.ContainsFunc(read, func(x check.Expr) bool { return u.expr(x, call.Scope) })
}

func (u *used) loop(e *check.ForEach, sc eval.Scope) bool {
	for _, l := range e.Loops {
		if u.expr(l.From, sc) || u.expr(l.To, sc) || u.expr(l.Of, sc) {
			return true
		}
	}
	for n := 1; ; n++ {
		inside, ok := sc.Iteration(e, n)
		if !ok {
			return false
		}
		if u.expr(e.Body, inside) {
			return true
		}
		if !callsRule(e.Body) {
			return false // every item reads the same cells
		}
	}
}

// field reports whether a material's field, as it is on the order's date, rested on the target.
func (u *used) field(m *check.Material, f *check.Cell) bool {
	key := fieldKey{m, f}
	touched, known := u.fields[key]
	if !known {
		cell := u.s.Plan.FieldInForce(m, f.Index)
		touched = u.t.material == m && (u.t.field == nil || u.t.field == f) || u.expr(cell.Expr, eval.Scope{Sheet: u.s, Material: m})
		u.fields[key] = touched
	}
	return touched
}

// statements notes which materials and operations of a recipe, and of its parts, rested on the target.
func (u *used) statements(r *check.Recipe, home int, front string) {
	at := func(cells ...*check.Cell) bool {
		return u.slot(home+check.OffIndex) || slices.ContainsFunc(cells, func(c *check.Cell) bool { return c != nil && u.slot(home+c.Index) })
	}
	for _, x := range r.Pieces {
		u.bought(home+x.Material.Index, u.laid, at(x.Material, x.Wide, x.Deep, x.Count, x.When, x.Turn, x.Match, x.Join))
	}
	for _, x := range r.Uses {
		u.bought(home+x.Material.Index, nil, at(x.Material, x.Need, x.When))
	}
	for _, x := range r.Works {
		if at(x.Time, x.Setup, x.Rate, x.When) {
			u.named["work."+front+x.Name], u.sums[1] = true, true
		}
	}
	for _, x := range r.Charges {
		u.sums[2] = u.sums[2] || at(x.Value, x.When)
	}
	for _, part := range r.Parts {
		u.statements(part.Recipe, home+part.Offset, front+part.Name+".")
	}
}

// bought notes that what is taken of the material in a slot rested on the target, by the statement that takes it or by the material's own fields.
func (u *used) bought(slot int, laid []string, touched bool) {
	v, fault := u.s.Value(slot)
	m := v.Material()
	if fault != nil || m == nil {
		return
	}
	for _, name := range append(boughtBy[:len(boughtBy):len(boughtBy)], laid...) {
		if f := m.Kind.Field(name); f != nil {
			touched = touched || u.field(m, f)
		}
	}
	if touched {
		u.named["buy."+m.Name], u.sums[0] = true, true
	}
}

// lines lists the lines of the buying list and of the work that rested on the target.
func (u *used) lines(r *eval.Result) []string {
	var all []string
	for _, l := range r.Buy {
		if u.named["buy."+l.Material.Name] {
			all = append(all, "buy."+l.Material.Name)
		}
	}
	for _, l := range r.Work {
		if u.named["work."+l.Name] {
			all = append(all, "work."+l.Name)
		}
	}
	return all
}
