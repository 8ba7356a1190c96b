package trace

import (
	"slices"

	"squab/eval"
	"squab/eval/check"
)

// In lists the cells and the lines of an order's result that rested on a target when the order was worked out: through the cases chosen and the branches
// taken, not through those that were passed over. laid are the fields that a layout reads of a material.
func (t Target) In(r *eval.Result, laid []string) []string {
	u := &used{t: t, s: r.Sheet, laid: laid, slots: map[int]bool{}, inRules: map[string]bool{}, fields: map[fieldKey]bool{}, named: map[string]bool{}, sums: map[string]bool{}}
	prices := r.Sheet.Plan.PriceFrom()
	all := u.cells(0, prices)
	u.statements(r.Recipe, 0, "")
	all = append(all, u.lines(r)...)
	return append(all, u.cells(prices, len(r.Sheet.Plan.Slots))...)
}

// cells names the slots from one on to another that rested on the target.
func (u *used) cells(from, to int) []string {
	var all []string
	for i := from; i < to; i++ {
		if u.slot(i) {
			all = appendOnce(all, shownName(u.s.Plan.Slots[i]))
		}
	}
	return all
}

// used is one order gone through for a target.
type used struct {
	t       Target
	s       *eval.Sheet
	laid    []string
	slots   map[int]bool
	inRules map[string]bool // by the call, or the rule's own cell in it
	fields  map[fieldKey]bool
	named   map[string]bool // lines of the result
	sums    map[string]bool // of the price, by their cells
}

func (u *used) slot(i int) bool {
	touched, known := u.slots[i]
	if known {
		return touched
	}
	s := u.s.Plan.Slots[i]
	touched = s.Cell == u.t.cell || i >= u.s.Plan.PriceFrom() && u.sums[s.Cell.Name]
	if given := givenFor(u.s, i); given != nil {
		touched = touched || u.expr(given, u.s.Scope(0))
	} else if s.Formula != nil {
		touched = touched || u.expr(s.Formula.Expr, u.s.Scope(s.Home))
	}
	if v, fault := u.s.Value(i); fault == nil && v.Material() != nil {
		touched = touched || u.isMaterial(v.Material())
	}
	u.slots[i] = touched
	return touched
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
	case *check.ForEach:
		return u.loop(e, sc)
	}
	return slices.ContainsFunc(looked(e, sc), func(child check.Expr) bool { return u.expr(child, sc) })
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
		return e.Cell.Role == check.FormulaCell && u.once(localKey(e.Cell, sc), func() bool { return u.expr(e.Cell.Expr, sc) })
	}
	return false
}

// once works an answer out that is the same for one rule and one set of arguments.
func (u *used) once(key string, touched func() bool) bool {
	known, ok := u.inRules[key]
	if !ok {
		known = touched()
		u.inRules[key] = known
	}
	return known
}

// call goes into the case that a rule chose; its conditions, and those of the cases before it, were read too.
func (u *used) call(e *check.RuleCall, sc eval.Scope) bool {
	call := sc.Call(e.Rule, e.Args, e.Span())
	touched := u.once(callKey(call), func() bool { return u.chose(call) })
	for i := range e.Args {
		touched = touched || u.expr(call.Argument(i, e.Args, sc))
	}
	return touched
}

func (u *used) chose(call eval.Call) bool {
	if call.Rule == u.t.rule && (u.t.row == nil || u.t.row == call.Case || u.t.row == call.Above) {
		return true
	}
	return slices.ContainsFunc(lookedIn(call), func(x check.Expr) bool { return u.expr(x, call.Scope) })
}

func (u *used) loop(e *check.ForEach, sc eval.Scope) bool {
	for _, l := range e.Loops {
		if u.expr(l.From, sc) || u.expr(l.To, sc) || u.expr(l.Of, sc) {
			return true
		}
	}
	for inside := range sc.Iterations(e) {
		if u.expr(e.Body, inside) {
			return true
		}
		if !varies(e.Body) {
			return false
		}
	}
	return false
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
	for _, x := range statements(r, u.laid) {
		touched := x.anyOf(home, u.slot)
		if x.material != nil {
			u.bought(home+x.material.Index, x.fields, touched)
			continue
		}
		u.sums[x.sum] = u.sums[x.sum] || touched
		if x.task != "" && touched {
			u.named["work."+front+x.task] = true
		}
	}
	for _, part := range r.Parts {
		if some, fault := u.s.Value(home + part.Offset + check.OffIndex); fault == nil && !some.Equal(check.Value{}) {
			u.statements(part.Recipe, home+part.Offset, front+part.Name+".")
		}
	}
}

// bought notes that what is taken of the material in a slot rested on the target, by the statement that takes it or by one of the material's own fields.
func (u *used) bought(slot int, fields []string, touched bool) {
	v, fault := u.s.Value(slot)
	m := v.Material()
	if fault != nil || m == nil {
		return
	}
	for _, name := range fields {
		if f := m.Kind.Field(name); f != nil {
			touched = touched || u.field(m, f)
		}
	}
	if touched {
		u.named["buy."+m.Name], u.sums["bought"] = true, true
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
