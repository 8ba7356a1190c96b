package eval

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

func intNumber(n int64) quantity.Number { return quantity.Int(n) }

// partial lists the functions of one number that do not hold for every number, and what to say where they do not.
var partial = map[check.Func]struct {
	work func(quantity.Number) (quantity.Number, bool)
	why  string
}{
	check.Sqrt: {quantity.Sqrt, "there is no square root of a negative measure"},
	check.Sin:  {quantity.Sin, "this angle has no sine here"},
	check.Cos:  {quantity.Cos, "this angle has no cosine here"},
	check.Tan:  {quantity.Tan, "this angle has no tangent"},
	check.Asin: {quantity.Asin, "asin wants a number from -1 to 1"},
	check.Acos: {quantity.Acos, "acos wants a number from -1 to 1"},
	check.Atan: {quantity.Atan, "this number has no arc tangent here"},
}

func (c compiler) function(e *check.FuncCall) formula {
	args := make([]formula, len(e.Args))
	for i, a := range e.Args {
		args[i] = c.compile(a)
	}
	if p, ok := partial[e.Func]; ok {
		return oneNumber(e, args[0], p.work, p.why)
	}
	switch e.Func {
	case check.Pi:
		return func(*frame) check.Value { return check.Num(quantity.Pi()) }
	case check.Abs:
		return func(f *frame) check.Value { return check.Num(args[0](f).Num.Abs()) }
	case check.CountOf:
		return func(f *frame) check.Value { return check.Num(intNumber(int64(len(args[0](f).Items())))) }
	case check.Sum:
		return sum(e, args[0])
	case check.FirstOf, check.LastOf:
		return endOf(e, args[0])
	}
	return extreme(e, args)
}

func oneNumber(e *check.FuncCall, x formula, work func(quantity.Number) (quantity.Number, bool), why string) formula {
	return func(f *frame) check.Value {
		n := x(f).Num
		if f.fault != nil {
			return check.Value{}
		}
		v, ok := work(n)
		if !ok {
			return f.fail(newFault("function-outside", e.Span(), "%s: it was given %s", why, f.plan.Show(check.Num(n), e.Args[0].Type())))
		}
		return check.Num(v)
	}
}

func sum(e *check.FuncCall, x formula) formula {
	return func(f *frame) check.Value {
		var total quantity.Number
		for _, item := range x(f).Items() {
			total = total.Add(item.Num)
		}
		return f.bounded(total, e)
	}
}

func endOf(e *check.FuncCall, x formula) formula {
	return func(f *frame) check.Value {
		items := x(f).Items()
		if f.fault != nil {
			return check.Value{}
		}
		if len(items) == 0 {
			return f.fail(newFault("index-outside", e.Span(), "the list is empty, so it has no %s", e.Func))
		}
		if e.Func == check.FirstOf {
			return items[0]
		}
		return items[len(items)-1]
	}
}

// extreme gives the least or the most of values, or of a list.
func extreme(e *check.FuncCall, args []formula) formula {
	pick := quantity.Min
	if e.Func == check.MaxOf {
		pick = quantity.Max
	}
	if len(args) == 1 {
		return func(f *frame) check.Value { return f.extremeOf(e, args[0](f).Items(), pick) }
	}
	return func(f *frame) check.Value {
		best := args[0](f).Num
		for _, a := range args[1:] {
			n, ok := pick(best, a(f).Num)
			if !ok {
				return f.undecided(e)
			}
			best = n
		}
		return check.Num(best)
	}
}

func (f *frame) extremeOf(e *check.FuncCall, items []check.Value, pick func(a, b quantity.Number) (quantity.Number, bool)) check.Value {
	if f.fault != nil {
		return check.Value{}
	}
	if len(items) == 0 {
		return f.fail(newFault("index-outside", e.Span(), "the list is empty, so it has no %s", e.Func))
	}
	best := items[0].Num
	for _, item := range items[1:] {
		n, ok := pick(best, item.Num)
		if !ok {
			return f.undecided(e)
		}
		best = n
	}
	return check.Num(best)
}

func (f *frame) undecided(e check.Expr) check.Value {
	return f.fail(newFault("compare-undecided", e.Span(), "these are too close to tell apart: at least one is known only within its bound"))
}
