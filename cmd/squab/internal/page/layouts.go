package page

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// layoutView is how an order's pieces lie on one material.
type layoutView struct {
	Material   string
	Laid       bool
	Used       Num
	Bound      *Num // where no layout is proved to use less
	Waste      Num  // as a share of what is used
	Sheets     []sheetDrawing
	MoreSheets int
}

// sheetDrawing is one sheet or stick, or the length of a roll, with its pieces; across the roll is drawn upward.
type sheetDrawing struct {
	Name       string
	Wide, High float64
	Outline    Rect
	Pieces     []laidPiece
}

type laidPiece struct {
	Rect  Rect
	Label Label
	Title string
}

const (
	layoutLong = 640 // along a roll
	layoutHigh = 150
	sheetLong  = 240
	stickHigh  = 18
	sheetsMost = 24
)

func layoutsOf(r *reasons) []layoutView {
	var all []layoutView
	for _, l := range r.result.Layouts {
		all = append(all, newLayout(r, l))
	}
	return all
}

func newLayout(r *reasons, l eval.Layout) layoutView {
	v := layoutView{Material: titleOf(l.Material), Laid: l.Laid}
	t := check.CountType()
	how := "whole ones, by area"
	if l.Form == check.Roll {
		t, how = check.LengthType(), "length of the roll, by area over the usable width"
	}
	if l.Laid {
		how = "as the drawing lies"
	}
	v.Used = r.made("used of "+l.Material.Name, check.Num(l.Used), t, how)
	r.reword(v.Used.Why.Name, &v.Used, usedText(r, l, l.Used))
	if !l.Proved && l.Laid {
		bound := r.made("least of "+l.Material.Name, check.Num(l.Bound), t, "no layout can use less than this")
		r.reword(bound.Why.Name, &bound, usedText(r, l, l.Bound))
		v.Bound = &bound
	}
	v.Waste = r.made("waste of "+l.Material.Name, check.Num(l.Waste), check.CountType(), "1 - the area of its pieces / the area of what is used")
	r.reword(v.Waste.Why.Name, &v.Waste, strconv.FormatFloat(inches(l.Waste)*100, 'f', 0, 64)+"%")
	if l.Laid {
		v.draw(r, l)
	}
	return v
}

func usedText(r *reasons, l eval.Layout, used quantity.Number) string {
	if l.Form == check.Roll {
		for _, line := range r.result.Buy {
			if line.Material == l.Material {
				return r.plan().ShowAmount(line, used)
			}
		}
		return r.plan().Show(check.Num(used), check.LengthType())
	}
	return r.plan().Show(check.Num(used), check.CountType()) + " × " + string(l.Form)
}

func (v *layoutView) draw(r *reasons, l eval.Layout) {
	sheets := 0
	for _, p := range l.Placed {
		sheets = max(sheets, p.Sheet)
	}
	if l.Form == check.Roll {
		v.Sheets = []sheetDrawing{rollDrawing(r, l)}
		return
	}
	for n := 1; n <= min(sheets, sheetsMost); n++ {
		v.Sheets = append(v.Sheets, oneSheet(r, l, n))
	}
	v.MoreSheets = max(sheets-sheetsMost, 0)
}

// rollDrawing lays the roll on its side, so that its length runs across the page.
func rollDrawing(r *reasons, l eval.Layout) sheetDrawing {
	wide, used := inches(l.Wide), inches(l.Used)
	scale := min(layoutHigh/wide, layoutLong/max(used, 1))
	d := sheetDrawing{Name: "the roll runs to the right", Outline: Rect{0, 0, used * scale, wide * scale}}
	for _, p := range l.Placed {
		d.add(r, p, Rect{inches(p.Y) * scale, d.Outline.High - (inches(p.X)+inches(p.Wide))*scale, inches(p.Deep) * scale, inches(p.Wide) * scale})
	}
	return d.framed()
}

func oneSheet(r *reasons, l eval.Layout, n int) sheetDrawing {
	wide := inches(l.Wide)
	deep, hasDeep := r.plan().Stock(l.Material).Measure("deep")
	scale := sheetLong / wide
	high := float64(stickHigh)
	if hasDeep {
		scale = min(scale, layoutHigh/inches(deep))
		high = inches(deep) * scale
	}
	d := sheetDrawing{Name: fmt.Sprintf("%s %d", l.Form, n), Outline: Rect{0, 0, wide * scale, high}}
	for _, p := range l.Placed {
		if p.Sheet != n {
			continue
		}
		tall := high
		if hasDeep {
			tall = inches(p.Deep) * scale
		}
		d.add(r, p, Rect{inches(p.X) * scale, high - inches(p.Y)*scale - tall, inches(p.Wide) * scale, tall})
	}
	return d.framed()
}

func (d *sheetDrawing) add(r *reasons, p eval.Placed, at Rect) {
	number := pieceNumber(r.result, p.Piece)
	size := shortLength(r.plan().Program().Style, p.Wide)
	if inches(p.Deep) > 0 {
		size += " by " + shortLength(r.plan().Program().Style, p.Deep)
	}
	title := fmt.Sprintf("%s, copy %d, %s", words(p.Piece), p.Copy, size)
	if p.Turned {
		title += ", turned"
	}
	d.Pieces = append(d.Pieces, laidPiece{at, pieceLabel(at, number, words(p.Piece)), title})
}

func pieceNumber(r *eval.Result, name string) int {
	for i, p := range r.Pieces {
		if p.Name == name {
			return i + 1
		}
	}
	return 0
}

// pieceLabel writes a piece's number and name in it where they fit, along or upward, else its number alone, else nothing.
func pieceLabel(at Rect, number int, name string) Label {
	short := strconv.Itoa(number)
	for _, text := range []string{short + " " + name, short} {
		long := float64(utf8.RuneCountInString(text))*textWide + 4
		l := Label{X: at.X + at.Wide/2, Y: at.Y + at.High/2 + 4, Anchor: "middle", Text: text}
		switch {
		case long <= at.Wide && textHigh+2 <= at.High:
			return l
		case long <= at.High && textHigh+2 <= at.Wide:
			l.X, l.Y, l.Turned = at.X+at.Wide/2+4, at.Y+at.High/2, true
			return l
		}
	}
	return Label{}
}

func (d sheetDrawing) framed() sheetDrawing {
	d.Wide, d.High = d.Outline.Wide+4, d.Outline.High+4
	return d
}

// Summary tells a drawing in words.
func (d sheetDrawing) Summary() string {
	var names []string
	for _, p := range d.Pieces {
		names = append(names, p.Title)
	}
	return d.Name + ": " + strings.Join(names, "; ")
}
