package stdlib

import (
	"fmt"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// LaidBy names the fields of a material that a layout reads.
func LaidBy() []string {
	return []string{
		"usable", "repeat_along", "repeat_across", "half_drop", "first_along", "first_across", "railroads", "nap", "one_way", "gap", "on_hand",
		"flaws", "flaw_sizes", "remnants", "least_offcut", "wide", "deep", "long", "kerf", "grain", "free_cuts", "stages", "sizes", "only",
		"turns_over", "joins", "join_loss",
	}
}

// jobOf reads a material's fields. Those that its kind does not have leave out what they are for.
func jobOf(s eval.Stock, pieces []eval.Piece) (*LayJob, error) {
	j := &LayJob{Material: s.Material, Form: s.Material.Kind.Form}
	j.Rule = CutRule{Kerf: measureOf(s, "kerf"), Least: extentOf(s, "least_offcut")}
	switch j.Form {
	case check.Roll:
		j.takePieces(s, pieces, rollPiece)
		return j, j.readRoll(s)
	case check.Sheet:
		j.takePieces(s, pieces, sheetPiece)
		j.Rule.Guillotine, j.Rule.Stages = !s.Yes("free_cuts"), countOf(s, "stages")
		j.readSizes(s, "wide")
	case check.Stick:
		j.takePieces(s, pieces, stickPiece)
		j.Rule.Nest, j.Rule.Join, j.Rule.JoinSeam = s.Yes("turns_over"), s.Yes("joins"), measureOf(s, "join_loss")
		j.Rule.Least.Wide = measureOf(s, "least_offcut")
		j.readSizes(s, "long")
	default:
		return nil, fmt.Errorf("pieces cannot be cut from a %s", j.Form)
	}
	return j, nil
}

func measureOf(s eval.Stock, field string) quantity.Number {
	n, _ := s.Measure(field)
	return n
}

func countOf(s eval.Stock, field string) int {
	n, _ := measureOf(s, field).Int64()
	return int(n)
}

func extentOf(s eval.Stock, field string) Extent {
	v, _ := s.Field(field)
	return Extent{v.Item(0).Num, v.Item(1).Num}
}

func (j *LayJob) readRoll(s eval.Stock) error {
	j.Roll = Roll{Wide: measureOf(s, "usable"), Long: measureOf(s, "on_hand"), Gap: measureOf(s, "gap")}
	j.Roll.Repeat = eval.Repeat{Along: measureOf(s, "repeat_along"), Across: measureOf(s, "repeat_across"), HalfDrop: s.Yes("half_drop"),
		First: eval.Point{X: measureOf(s, "first_across"), Y: measureOf(s, "first_along")}}
	for _, size := range s.Items("remnants") {
		j.Roll.Remnants = append(j.Roll.Remnants, Extent{size.Item(0).Num, size.Item(1).Num})
	}
	at, sizes := s.Items("flaws"), s.Items("flaw_sizes")
	if len(at) != len(sizes) {
		return fmt.Errorf("it has %d flaws and %d flaw_sizes: give a size for each", len(at), len(sizes))
	}
	for i, p := range at {
		j.Roll.Flaws = append(j.Roll.Flaws, eval.Area{X: p.Item(0).Num, Y: p.Item(1).Num, Wide: sizes[i].Item(0).Num, Deep: sizes[i].Item(1).Num})
	}
	return nil
}

// readSizes takes a material's own size, and those of the materials that it may be cut from instead.
func (j *LayJob) readSizes(s eval.Stock, side string) {
	all := []eval.Stock{s}
	for _, other := range s.Items("sizes") {
		if m := other.Material(); m != nil && m != s.Material {
			all = append(all, s.Other(m))
		}
	}
	for _, size := range all {
		j.Sizes = append(j.Sizes, Size{Name: size.Material.Name, Material: size.Material, Wide: measureOf(size, side), Deep: measureOf(size, "deep"),
			Price: measureOf(size, "price"), Limit: countOf(size, "only")})
	}
}

// takePieces takes pieces in; bias strips apart.
func (j *LayJob) takePieces(s eval.Stock, pieces []eval.Piece, cutOf func(eval.Stock, eval.Piece) Cut) {
	for _, p := range pieces {
		if p.Bias == nil {
			j.Pieces = append(j.Pieces, cutOf(s, p))
			continue
		}
		j.Bias = append(j.Bias, Bias{Name: p.Name, Order: p.Order, Wide: p.Deep, Long: p.Wide.Mul(quantity.Int(p.Count)), Seam: *p.Bias})
	}
}

// rollPiece turns a piece so that the dimension that runs along the roll is its depth. Nap, and a pattern with a top, forbid turning whatever
// the piece allows (common practice, no source).
func rollPiece(s eval.Stock, p eval.Piece) Cut {
	cut := upright(p)
	oneWay := s.Yes("nap") || s.Yes("one_way")
	cut.Turn = (p.Turn || s.Yes("railroads")) && !oneWay
	cut.EndForEnd = !oneWay
	cut.Join, cut.SideBySide = p.Join, p.SideBySide
	return cut
}

// MayTurn reports whether a piece may be laid on a roll with a quarter turn.
func MayTurn(s eval.Stock, p eval.Piece) bool {
	return p.Form == check.Roll && p.Bias == nil && rollPiece(s, p).Turn
}

// sheetPiece keeps to the grain, which runs along the sheet's depth, unless the piece may be turned.
func sheetPiece(s eval.Stock, p eval.Piece) Cut {
	cut := upright(p)
	cut.Turn, cut.Match = !s.Yes("grain") || p.Turn, nil
	return cut
}

func stickPiece(_ eval.Stock, p eval.Piece) Cut {
	return Cut{Name: p.Name, Order: p.Order, Wide: p.Wide, Count: int(p.Count), Mitre: p.Mitre}
}

// upright gives a quarter turn to a piece whose width runs along the material: its left edge becomes the near one.
func upright(p eval.Piece) Cut {
	cut := Cut{Name: p.Name, Order: p.Order, Wide: p.Wide, Deep: p.Deep, Count: int(p.Count), Match: p.Match}
	if p.Up != "wide" {
		return cut
	}
	cut.Wide, cut.Deep = p.Deep, p.Wide
	if p.Match != nil {
		cut.Match = &eval.Point{X: p.Deep.Sub(p.Match.Y), Y: p.Match.X}
	}
	return cut
}
