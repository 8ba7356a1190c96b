package spread

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// ofOne is a function of one number; false where it has no value.
type ofOne func(quantity.Number) (quantity.Number, bool)

// rising are the functions that never go down; waving those that are known only where no input moves what they are given.
var (
	rising = map[check.Func]ofOne{check.Sqrt: quantity.Sqrt, check.Asin: quantity.Asin, check.Atan: quantity.Atan}
	waving = map[check.Func]ofOne{check.Sin: quantity.Sin, check.Cos: quantity.Cos, check.Tan: quantity.Tan}
)

func (w *walk) function(e *check.FuncCall, p place) value {
	if e.Func == check.Pi {
		return value{number: fixed(quantity.Pi(), w.inputs())}
	}
	args := make([]value, len(e.Args))
	for i, a := range e.Args {
		args[i] = w.expr(a, p)
	}
	if args[0].isList {
		return w.ofList(e.Func, args[0].items)
	}
	for _, a := range args {
		if a.number == nil {
			return value{}
		}
	}
	return w.ofNumbers(e.Func, args)
}

func (w *walk) ofNumbers(f check.Func, args []value) value {
	x := args[0].number
	if rise := rising[f]; rise != nil {
		return value{number: x.through(rise)}
	}
	if wave := waving[f]; wave != nil {
		return w.still(x, wave)
	}
	switch f {
	case check.Abs:
		return value{number: x.size()}
	case check.Acos:
		return value{number: x.neg().through(func(n quantity.Number) (quantity.Number, bool) { return quantity.Acos(n.Neg()) })}
	case check.MinOf, check.MaxOf:
		return extreme(f, args)
	}
	return value{}
}

func (w *walk) still(x *number, f ofOne) value {
	n, ok := x.constant()
	if !ok {
		return value{}
	}
	y, ok := f(n)
	if !ok {
		return value{}
	}
	return value{number: fixed(y, w.inputs())}
}

// extreme is the least or the most of some numbers.
func extreme(f check.Func, all []value) value {
	var best *number
	for _, v := range all {
		switch {
		case v.number == nil:
			return value{}
		case best == nil:
			best = v.number
		case f == check.MaxOf:
			best = best.most(v.number)
		default:
			best = best.neg().most(v.number.neg()).neg()
		}
	}
	return value{number: best}
}

func (w *walk) ofList(f check.Func, items []value) value {
	switch f {
	case check.CountOf:
		return value{number: fixed(quantity.Int(int64(len(items))), w.inputs())}
	case check.MinOf, check.MaxOf:
		return extreme(f, items)
	case check.Sum:
		sum := fixed(quantity.Number{}, w.inputs())
		for _, v := range items {
			if v.number == nil {
				return value{}
			}
			sum = sum.plus(v.number, w.box)
		}
		return value{number: sum}
	case check.FirstOf:
		return item(value{items: items}, 1)
	case check.LastOf:
		return item(value{items: items}, int64(len(items)))
	}
	return value{}
}
