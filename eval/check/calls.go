package check

import (
	"slices"

	"squab/eval/quantity"
	"squab/lang"
)

// functions lists the functions of the language and how many values each takes; -1 is two or more, or one list.
var functions = map[Func]int{
	Abs: 1, Sqrt: 1, MinOf: -1, MaxOf: -1, Sum: 1, CountOf: 1, FirstOf: 1, LastOf: 1, Pi: 0,
	Sin: 1, Cos: 1, Tan: 1, Asin: 1, Acos: 1, Atan: 1,
}

func (c *checker) call(e *lang.Call, sc *scope, want *Type) Expr {
	if n, ok := functions[Func(e.Fun.Text)]; ok {
		return c.function(e, sc, n)
	}
	r, ok := c.values[e.Fun.Text].(*Rule)
	if !ok {
		c.badCallee(e, sc)
		for _, a := range e.Args {
			c.infer(a.Value, sc, nil)
		}
		return bad(e.At)
	}
	return c.callRule(r, lang.Name{Text: e.Fun.Text, At: e.At}, e.Args, sc)
}

func (c *checker) badCallee(e *lang.Call, sc *scope) {
	cell, _ := sc.find(e.Fun.Text)
	_, isMaterial := c.values[e.Fun.Text].(*Material)
	if cell != nil || isMaterial {
		c.fail("call-of-cell", e.Fun.At, "%s is no rule, so nothing can follow it in brackets", e.Fun.Text).Fix("for a product write " + e.Fun.Text + " * (…)")
		return
	}
	c.unknown("rule or function", e.Fun, names(c.ruleNames).and(functionNames))
}

func functionNames() []string {
	var all []string
	for f := range functions {
		all = append(all, string(f))
	}
	slices.Sort(all)
	return all
}

// callRule matches arguments to a rule's parameters, by place and then by name. A default that stands on its own is filled in; where it rests on
// other parameters the argument stays nil, and the default is worked out with the rule.
func (c *checker) callRule(r *Rule, n lang.Name, args []*lang.Arg, sc *scope) Expr {
	given := make([]Expr, len(r.Params))
	surplus := false
	for i, a := range args {
		p := c.paramFor(r, i, a)
		if p == nil {
			surplus = true
			c.infer(a.Value, sc, nil)
			continue
		}
		if given[p.Index] != nil {
			c.fail("argument-twice", a.At, "%s is given twice", p.Name).Note(p.At, "the parameter").Fix("take one out")
		}
		what := r.Name + "'s " + p.Name
		given[p.Index] = c.formulaFor(a.Value, sc, p.Type, what, p)
		c.constRange("parameter-outside", what, p, given[p.Index])
	}
	if !surplus {
		c.missingArguments(r, n, given)
	}
	return &RuleCall{base{n.At, r.Result}, r, given}
}

func (c *checker) missingArguments(r *Rule, n lang.Name, given []Expr) {
	for i, p := range r.Params {
		if given[i] == nil && p.Source == nil {
			c.fail("argument-missing", n.At, "%s wants %s, %s", r.Name, p.Name, article(p.Type)).Note(p.At, "the parameter").Fix(signature(r))
			given[i] = bad(n.At)
		}
		if given[i] == nil {
			given[i] = c.ownDefault(p)
		}
	}
}

// ownDefault gives a parameter's default if it can be worked out anywhere: nil where it has cells of the rule in it.
func (c *checker) ownDefault(p *Cell) Expr {
	c.settle(p)
	own := p.Expr
	Walk(p.Expr, func(e Expr) bool {
		if _, isRef := e.(*CellRef); isRef {
			own = nil
		}
		return own != nil
	})
	return own
}

func (c *checker) paramFor(r *Rule, i int, a *lang.Arg) *Cell {
	if a.Key.Text == "" {
		if i < len(r.Params) {
			return r.Params[i]
		}
		c.fail("argument-extra", a.At, "%s takes %s", r.Name, howMany(len(r.Params))).Note(r.At, "declared here").Fix(signature(r))
		return nil
	}
	for _, p := range r.Params {
		if p.Name == a.Key.Text {
			return p
		}
	}
	c.unknown("parameter of "+r.Name, a.Key, r.paramNames).Note(r.At, "declared here")
	return nil
}

func (r *Rule) paramNames() []string {
	var all []string
	for _, p := range r.Params {
		all = append(all, p.Name)
	}
	return all
}

func howMany(n int) string {
	switch n {
	case 0:
		return "nothing in brackets"
	case 1:
		return "one value"
	}
	return quantity.Int(int64(n)).String() + " values"
}

// signature writes how a rule is used.
func signature(r *Rule) string {
	s := "use it so: " + r.Name
	for i, p := range r.Params {
		if i == 0 {
			s += "("
		} else {
			s += ", "
		}
		s += p.Name + ": " + p.Type.String()
	}
	if len(r.Params) > 0 {
		s += ")"
	}
	return s
}

func (c *checker) function(e *lang.Call, sc *scope, arity int) Expr {
	var args []Expr
	known := true
	for _, a := range e.Args {
		if a.Key.Text != "" {
			c.fail("argument-name", a.Key.At, "%s takes its values by place", e.Fun.Text).Fix("leave out " + a.Key.Text + ":")
		}
		x := c.infer(a.Value, sc, nil)
		known = known && x.Type().Known()
		args = append(args, x)
	}
	if !known {
		return bad(e.At)
	}
	if arity >= 0 && len(args) != arity || len(args) == 0 && arity != 0 {
		c.fail("argument-count", e.At, "%s takes %s", e.Fun.Text, takes(arity)).Fix("use it so: " + e.Fun.Text + "(…)")
		return bad(e.At)
	}
	t, ok := c.functionType(e, Func(e.Fun.Text), args)
	if !ok {
		return bad(e.At)
	}
	return &FuncCall{base{e.At, t}, Func(e.Fun.Text), args}
}

// takes says how many values a function takes.
func takes(arity int) string {
	if arity < 0 {
		return "two or more values, or a list"
	}
	return howMany(arity)
}

// functionType gives what a function comes to for arguments of known kinds.
func (c *checker) functionType(e *lang.Call, f Func, args []Expr) (Type, bool) {
	switch f {
	case Pi:
		return number, true
	case Abs:
		return c.measured(e, args[0])
	case Sqrt:
		return c.rootType(e, args[0])
	case MinOf, MaxOf:
		return c.leastType(e, args)
	case Sum, CountOf, FirstOf, LastOf:
		return c.listFunction(e, f, args[0])
	case Sin, Cos, Tan:
		return c.angular(e, args[0], measure(quantity.AngleDim), number)
	}
	return c.angular(e, args[0], number, measure(quantity.AngleDim))
}

func (c *checker) measured(e *lang.Call, x Expr) (Type, bool) {
	if x.Type().Base != Quantity {
		c.notMeasure(e.Fun.Text, x)
		return Type{}, false
	}
	return x.Type(), true
}

// rootType is the kind of a square root: every exponent must be even, and of the counts that it may be read with some must be.
func (c *checker) rootType(e *lang.Call, x Expr) (Type, bool) {
	t, ok := c.measured(e, x)
	if !ok {
		return t, false
	}
	d := t.Dim
	lo, hi := (int(d.Count)+256+1)/2-128, (int(d.Count)+int(t.Slack)+256)/2-128
	even := lo <= hi
	for _, n := range []*int8{&d.Length, &d.Mass, &d.Time, &d.Angle, &d.Money} {
		even = even && *n%2 == 0
		*n /= 2
	}
	if !even {
		c.fail("root-of-odd", x.Span(), "%s has no square root that is a measure", article(t)).Fix("the root of an area is a length")
		return Type{}, false
	}
	d.Count = int8(lo)
	return Type{Base: Quantity, Dim: d, Slack: int8(hi - lo)}, true
}

func (c *checker) angular(e *lang.Call, x Expr, from, to Type) (Type, bool) {
	if !x.Type().fits(from) {
		fix := "give it " + article(from)
		if from == number {
			fix = "divide it by " + article(x.Type())
		}
		c.fail("unit-mismatch", x.Span(), "%s wants %s, and this is %s", e.Fun.Text, article(from), article(x.Type())).Fix(fix)
		return Type{}, false
	}
	return to, true
}

func (c *checker) leastType(e *lang.Call, args []Expr) (Type, bool) {
	if len(args) == 1 {
		t := args[0].Type()
		if t.Base != List || t.Elem.Base != Quantity {
			c.fail("not-a-list", args[0].Span(), "%s of one value wants a list of measures, and this is %s", e.Fun.Text, article(t)).Fix("give two or more values")
			return Type{}, false
		}
		return *t.Elem, true
	}
	all := args[0].Type()
	for _, x := range args {
		if _, ok := c.measured(e, x); !ok {
			return Type{}, false
		}
		t, ok := common(all, x.Type())
		if !ok {
			c.fail("unit-mismatch", x.Span(), "%s compares like with like: %s with %s", e.Fun.Text, article(all), article(x.Type())).Note(args[0].Span(), article(all)).Fix("give only values that can be added to each other")
			return Type{}, false
		}
		all = t
	}
	return all, true
}

func (c *checker) listFunction(e *lang.Call, f Func, x Expr) (Type, bool) {
	t := x.Type()
	if t.Base != List || f == Sum && t.Elem.Base != Quantity {
		c.fail("not-a-list", x.Span(), "%s wants a list, and this is %s", e.Fun.Text, article(t)).Fix("make a list: " + e.Fun.Text + "(for each i from 1 to n: …)")
		return Type{}, false
	}
	if f == CountOf {
		return count, true
	}
	return *t.Elem, true
}
