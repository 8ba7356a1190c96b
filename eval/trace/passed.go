package trace

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// passed says why a case, row or amendment did not take these values; args are the parameters as the chosen one calls them.
func (t *tracer) passed(p eval.Passed, call eval.Call, args []Arg) Passed {
	if p.Window != nil {
		return Passed{Text: t.bodyText(p.Body), Why: t.outOfTime(*p.Window), At: p.Window.At, Layer: p.Window.Layer}
	}
	out := Passed{Text: t.text(p.Case.Value.Span()), At: p.Case.At, Layer: p.Body.Layer, Args: t.renamed(call.Rule, p.Body, p.Case, args)}
	sc := call.Scope
	if len(p.Case.Tests) > 0 {
		out.Text = t.text(p.Case.Value.Span()) + " (" + t.caseText(nil, p.Case) + ")"
		for _, test := range p.Case.Tests {
			if test.Cond == nil {
				continue
			}
			if v, _ := sc.Eval(test.Cond); !v.Yes() {
				value, _ := sc.Eval(paramOf(test))
				out.Why = fmt.Sprintf("%s is %s", test.Param.Name, t.shown(value, test.Param.Type))
				return out
			}
		}
		return out
	}
	out.Text += " when " + t.text(p.Case.When.Span())
	out.Why = t.whyNot(p.Case.When, sc)
	return out
}

// paramOf finds the reference to the parameter inside a row's test.
func paramOf(test check.RowTest) check.Expr {
	var ref check.Expr
	check.Walk(test.Cond, func(e check.Expr) bool {
		if r, ok := e.(*check.CellRef); ok && ref == nil {
			ref = r
		}
		return ref == nil
	})
	return ref
}

func (t *tracer) outOfTime(w check.Window) string {
	day := check.DateText(t.p.Day)
	if w.HasFrom && t.p.Day < w.From {
		return "it holds from " + check.DateText(w.From) + ", and the order is of " + day
	}
	return "it held until " + check.DateText(w.Until) + ", and the order is of " + day
}

func (t *tracer) place(at diag.Span) string {
	p := t.files.Place(at.Start)
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

// whyNot says which part of a condition failed, with the values.
func (t *tracer) whyNot(e check.Expr, sc eval.Scope) string {
	b, ok := e.(*check.Binary)
	if !ok {
		return t.notSo(e, sc)
	}
	switch b.Op {
	case lang.And:
		if v, _ := sc.Eval(b.X); !v.Yes() {
			return t.whyNot(b.X, sc)
		}
		return t.whyNot(b.Y, sc)
	case lang.Or:
		return t.whyNot(b.X, sc) + ", and " + t.whyNot(b.Y, sc)
	case lang.Is, lang.IsNot:
		v, _ := sc.Eval(b.X)
		if b.Op == lang.IsNot {
			return fmt.Sprintf("%s is %s", t.text(b.X.Span()), t.shown(v, b.X.Type()))
		}
		return fmt.Sprintf("%s is %s, not %s", t.text(b.X.Span()), t.shown(v, b.X.Type()), t.text(b.Y.Span()))
	}
	return t.sides(b, sc)
}

func (t *tracer) notSo(e check.Expr, sc eval.Scope) string {
	if u, ok := e.(*check.Unary); ok && u.Op == check.Not {
		return t.text(u.X.Span()) + " holds"
	}
	return t.text(e.Span()) + " is no"
}

// sides tells the values of the sides of a comparison that are not themselves written out.
func (t *tracer) sides(b *check.Binary, sc eval.Scope) string {
	var parts []string
	for _, side := range []check.Expr{b.X, b.Y} {
		if _, fixed := side.(*check.Const); fixed {
			continue
		}
		v, _ := sc.Eval(side)
		parts = append(parts, fmt.Sprintf("%s is %s", t.text(side.Span()), t.shown(v, side.Type())))
	}
	return strings.Join(parts, ", ")
}
