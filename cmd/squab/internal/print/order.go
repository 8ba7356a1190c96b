package print

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
	"squab/stdlib"
)

type orderWriter struct {
	page    Page
	program *check.Program
	*measures
	r       *eval.Result
	b       strings.Builder
	inexact bool // something shown is not the exact value

	cautionLines map[string]string
}

func (w *orderWriter) order() {
	w.title()
	w.pieces()
	w.sticks()
	w.marks()
	w.layouts()
	w.buying()
	w.labour()
	w.price()
	w.steps()
	w.cautions()
	w.footnote("~ is shown rounded; squab why tells the exact value.")
}

// show writes a measure, and remembers whether the page owes a word on rounding.
func (w *orderWriter) show(n quantity.Number, t check.Type) string {
	s := w.of(n, t)
	w.inexact = w.inexact || !s.exact
	return s.text
}

func (w *orderWriter) length(n quantity.Number) string { return w.show(n, check.LengthType()) }

func (w *orderWriter) money(n quantity.Number) string { return w.show(n, check.MoneyType()) }

func (w *orderWriter) heading(text string) {
	w.b.WriteString("\n" + w.page.paint(bold, text) + "\n")
}

func (w *orderWriter) title() {
	o := w.r.Order
	head := "ORDER " + o.ID
	if o.Title != "" {
		head += "  " + o.Title
	}
	for _, line := range Wrap(head, textWidth) {
		w.b.WriteString(w.page.paint(bold, line) + "\n")
	}
	what := w.r.Recipe.Title
	if what == "" {
		what = w.r.Recipe.Name
	}
	hang(&w.b, "", fmt.Sprintf("%s, %d off, by the rules of %s", what, w.r.Off, check.DateText(w.r.Day)))
}

// pieces lists what is cut from rolls and sheets.
func (w *orderWriter) pieces() {
	flat, has := w.flatPieces()
	if len(flat) == 0 {
		return
	}
	w.heading("CUT LIST")
	t := table{}
	t.column("piece", false)
	for _, head := range []string{"off", "wide", "deep"} {
		t.column(head, true)
	}
	if has.thick {
		t.column("thick", true)
	}
	t.column("from", false)
	if has.roll {
		t.column("along", false)
	}
	if has.turn {
		t.column("turn", false)
	}
	for _, p := range flat {
		t.row(w.pieceRow(p, has)...)
	}
	t.write(w.page, &w.b)
}

// pieceColumns says which columns a cut list has besides the usual ones.
type pieceColumns struct{ thick, roll, turn bool }

// flatPieces picks the pieces that are not lengths, and the columns that they need.
func (w *orderWriter) flatPieces() (flat []eval.Piece, has pieceColumns) {
	for _, p := range w.r.Pieces {
		if p.Form == check.Stick {
			continue
		}
		flat = append(flat, p)
		has.thick, has.roll, has.turn = has.thick || p.HasThick, has.roll || p.Form == check.Roll, has.turn || w.mayTurn(p)
	}
	return flat, has
}

// mayTurn reports whether a piece may be laid with a quarter turn: of a roll, as its cloth lets it.
func (w *orderWriter) mayTurn(p eval.Piece) bool {
	if p.Form == check.Roll {
		return stdlib.MayTurn(w.r.Sheet.Plan.Stock(p.Material), p)
	}
	return p.Turn
}

func (w *orderWriter) pieceRow(p eval.Piece, has pieceColumns) []string {
	row := []string{p.Name, strconv.FormatInt(p.Count, 10), w.length(p.Wide), w.length(p.Deep)}
	if has.thick {
		row = append(row, when(p.HasThick, w.length(p.Thick)))
	}
	row = append(row, p.Material.Name)
	if has.roll {
		row = append(row, when(p.Form == check.Roll, along(p)))
	}
	if has.turn {
		row = append(row, when(w.mayTurn(p), "yes"))
	}
	return row
}

// along is what runs along the roll: a side of the piece, or neither where it is cut on the bias.
func along(p eval.Piece) string {
	if p.Bias != nil {
		return "bias"
	}
	return p.Up
}

func when(is bool, text string) string {
	if is {
		return text
	}
	return ""
}

func isMitred(p eval.Piece) bool {
	sign, _ := p.Mitre.Sign()
	return sign != 0
}

// sticks lists what is cut to length: mitre is how much shorter the short side is at each end.
func (w *orderWriter) sticks() {
	t := table{}
	t.column("length", false)
	t.column("off", true)
	t.column("long", true)
	mitred := slices.ContainsFunc(w.r.Pieces, isMitred)
	if mitred {
		t.column("mitre", true)
	}
	t.column("from", false)
	for _, p := range w.r.Pieces {
		if p.Form != check.Stick {
			continue
		}
		row := []string{p.Name, strconv.FormatInt(p.Count, 10), w.length(p.Wide)}
		if mitred {
			row = append(row, when(isMitred(p), w.length(p.Mitre)))
		}
		t.row(append(row, p.Material.Name)...)
	}
	if len(t.rows) > 0 {
		w.heading("CUT TO LENGTH")
		t.write(w.page, &w.b)
	}
}

// marks writes each row of marks as running sizes from the datum corner.
func (w *orderWriter) marks() {
	headed := false
	for _, m := range w.r.Marks {
		if len(m.Points) == 0 {
			continue
		}
		if !headed {
			w.heading("MARKS, in running sizes from the left front corner")
			headed = true
		}
		rows := rowsOf(m)
		hang(&w.b, "  ", fmt.Sprintf("%s on %s: %s", m.Name, strings.Join(m.On, ", "), Counted(len(m.Points), "mark")+w.hole(m)))
		for _, row := range rows {
			w.markRow(row, len(rows[len(rows)-1].letter))
		}
	}
}

func (w *orderWriter) hole(m eval.Marks) string {
	if s, _ := m.Hole.Sign(); s == 0 {
		return ""
	}
	return ", holes " + w.length(m.Hole) + " wide"
}

// markRow writes a row on one line where it fits, else its sizes under its place.
func (w *orderWriter) markRow(row markRow, letterWidth int) {
	head := fmt.Sprintf("    %s  %s from the front: ", padRight(row.letter, letterWidth), w.length(row.y))
	sizes := strings.Join(w.glue(row), " · ")
	if diag.Columns(head)+diag.Columns(sizes) > textWidth {
		w.b.WriteString(strings.TrimSuffix(head, " ") + "\n")
		head = strings.Repeat(" ", letterWidth+6)
	}
	hang(&w.b, head, sizes)
}

// glue gives the running sizes of a row, each kept on one line.
func (w *orderWriter) glue(row markRow) []string {
	all := make([]string, len(row.points))
	for i, p := range row.points {
		all[i] = strings.ReplaceAll(w.length(p.X), " ", noBreak)
	}
	return all
}

// markRow is the marks that lie at one distance from the front, from the left.
type markRow struct {
	letter string
	y      quantity.Number
	points []eval.Point
	places []int // of the points in the marks as given
}

// rowsOf sorts marks into rows, from the front.
func rowsOf(m eval.Marks) []markRow {
	places := make([]int, len(m.Points))
	for i := range places {
		places[i] = i
	}
	sort.SliceStable(places, func(i, j int) bool { return before(m.Points[places[i]], m.Points[places[j]]) })
	var rows []markRow
	for _, i := range places {
		p := m.Points[i]
		if n := len(rows); n == 0 || !rows[n-1].y.Equal(p.Y) {
			rows = append(rows, markRow{letter: letters(n), y: p.Y})
		}
		last := &rows[len(rows)-1]
		last.points, last.places = append(last.points, p), append(last.places, i)
	}
	return rows
}

func before(a, b eval.Point) bool {
	if order, _ := a.Y.Cmp(b.Y); order != 0 {
		return order < 0
	}
	order, _ := a.X.Cmp(b.X)
	return order < 0
}

// letters counts A, B … Z, AA, AB …
func letters(n int) string {
	s := string(rune('A' + n%26))
	if n >= 26 {
		s = letters(n/26-1) + s
	}
	return s
}

// Counted writes how many there are of something.
func Counted(n int, what string) string {
	s := strconv.Itoa(n) + " " + what
	if n != 1 {
		s += "s"
	}
	return s
}

func (w *orderWriter) layouts() {
	if len(w.r.Layouts) == 0 {
		return
	}
	w.heading("MATERIAL")
	for _, l := range w.r.Layouts {
		hang(&w.b, "  ", l.Material.Name+": "+w.layout(l))
	}
}

func (w *orderWriter) layout(l eval.Layout) string {
	used := w.used(l.Form, l.Used)
	switch {
	case l.Form == check.Roll:
		used += " off a roll " + w.length(l.Wide) + " wide" + w.remnants(l)
	case len(l.Taken) > 1:
		used += " (" + w.sizes(l.Taken) + ")"
	}
	switch {
	case !l.Laid && l.Form == check.Stick:
		return used + " by length alone (not laid out)"
	case !l.Laid:
		return used + " by area alone (not laid out)"
	case l.Goal != nil:
		return used + w.goal(l)
	case l.Proved:
		return used + ", " + Percent(l.Waste) + " waste; no layout takes less"
	case l.Used.Equal(l.Bound): // of the pieces that could be laid
		return used + ", " + Percent(l.Waste) + " waste"
	}
	return used + ", " + Percent(l.Waste) + " waste; none can take less than " + w.used(l.Form, l.Bound)
}

// goal tells what several sizes come to, and the least that they can.
func (w *orderWriter) goal(l eval.Layout) string {
	came, verb := w.show(l.Goal.Came, l.Goal.Type), "take"
	if l.Goal.Type.ShownDim() == quantity.MoneyDim {
		verb = "cost"
	}
	text := ", " + came + ", " + Percent(l.Waste) + " waste"
	switch {
	case l.Proved:
		return text + "; no layout " + verb + "s less"
	case l.Goal.Came.Equal(l.Goal.Bound): // of the pieces that could be laid
		return text
	}
	return text + "; none can " + verb + " less than " + w.show(l.Goal.Bound, l.Goal.Type)
}

// remnants tells how many are cut into besides the roll.
func (w *orderWriter) remnants(l eval.Layout) string {
	used := map[int]bool{}
	for _, p := range l.Placed {
		if p.Sheet > 0 {
			used[p.Sheet] = true
		}
	}
	if len(used) == 0 {
		return ""
	}
	return " and " + pieces(quantity.Int(int64(len(used))), "remnant")
}

func (w *orderWriter) sizes(taken []eval.Taken) string {
	var all []string
	for _, t := range taken {
		all = append(all, t.Amount.Fraction()+" "+t.Material.Name)
	}
	return strings.Join(all, ", ")
}

func (w *orderWriter) used(form check.Form, n quantity.Number) string {
	switch form {
	case check.Roll:
		return w.length(n)
	case check.Sheet:
		return pieces(n, "sheet")
	}
	return pieces(n, "length")
}

func pieces(n quantity.Number, what string) string {
	if n.Equal(quantity.Int(1)) {
		return "1 " + what
	}
	return n.Fraction() + " " + what + "s"
}

// Percent writes a share as whole hundredths: "7%".
func Percent(share quantity.Number) string {
	n, _ := share.Mul(quantity.Int(100)).RoundNear(quantity.Int(1))
	return n.Fraction() + "%"
}

func (w *orderWriter) labour() {
	if len(w.r.Work) == 0 {
		return
	}
	w.heading("LABOUR")
	t := table{}
	t.column("work", false)
	t.column("time", true)
	t.column("cost", true)
	var total quantity.Number
	for _, l := range w.r.Work {
		total = total.Add(l.Time)
		t.row(l.Name, w.show(l.Time, check.TimeType()), w.money(l.Cost))
	}
	t.row("in all", w.show(total, check.TimeType()), "")
	t.write(w.page, &w.b)
}

func (w *orderWriter) price() {
	if len(w.r.Price) == 0 {
		return
	}
	w.heading("PRICE")
	t := table{}
	t.column("", false)
	t.column("", true)
	for _, l := range w.r.Price {
		if l.IsNote {
			continue
		}
		if name := l.Name; l.IsTotal {
			t.row(strings.ToUpper(name), w.show(l.Value, l.Type))
			continue
		}
		t.row(l.Name, w.show(l.Value, l.Type))
	}
	total := len(t.rows)
	for _, l := range w.r.Price {
		if l.IsNote {
			t.row(l.Name, w.show(l.Value, l.Type))
		}
	}
	t.writeRows(&w.b, total)
}

func (w *orderWriter) steps() {
	if len(w.r.Steps) == 0 {
		return
	}
	w.heading("STEPS")
	for i, s := range w.r.Steps {
		hang(&w.b, fmt.Sprintf("  %2d  ", i+1), s)
	}
}

func (w *orderWriter) cautions() {
	if len(w.r.Cautions) == 0 {
		return
	}
	w.heading("CAUTIONS")
	for _, c := range w.r.Cautions {
		w.b.WriteString(w.caution(c.Text))
	}
}

// caution is a caution in lines; a book has few, and its orders much the same ones.
func (w *orderWriter) caution(text string) string {
	lines, known := w.cautionLines[text]
	if !known {
		var b strings.Builder
		hang(&b, "  !  ", text)
		lines = b.String()
		w.cautionLines[text] = lines
	}
	return lines
}

func (w *orderWriter) footnote(text string) {
	if w.inexact {
		w.b.WriteString("\n" + text + "\n")
	}
}
