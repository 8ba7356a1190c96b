package eval

import (
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang/diag"
)

// Result is what an order comes to.
type Result struct {
	Order    *check.Order
	Recipe   *check.Recipe
	Off      int64
	Day      int64
	Sheet    *Sheet
	Pieces   []Piece
	Marks    []Marks
	Layouts  []Layout
	Buy      []BuyLine
	Work     []WorkLine
	Charges  []PriceLine // the recipe's own
	Price    []PriceLine // the price block's lines, total and other cells in order
	Steps    []string
	Cautions []Caution
}

// Piece is a cut piece. Measures are in base units (inches). Count is for the whole order. Deep is zero for a piece of a stick.
type Piece struct {
	Name     string
	Order    string
	Material *check.Material
	Form     check.Form
	Wide     quantity.Number
	Deep     quantity.Number
	Thick    quantity.Number
	HasThick bool
	Count    int64
	Up       string // "wide" or "deep": the dimension that runs along the roll
	Turn     bool
	Match    *Point
	Join     *quantity.Number // the seam on each joined edge, where a piece wider than the cloth may be joined
	Bias     *quantity.Number // the seam on each end of a strip cut on the bias: Wide is its length, Deep its width
	Mitre    quantity.Number  // how much shorter a stick's short side is at each end
	Edge     Edge
	At       diag.Span

	SideBySide bool // joined from full panels and a narrower one
}

// Edge says how a piece lies in a section through the edge, as far as the recipe says: on which face of the stack ("above", "below", "both", "" where it
// does not say), how much is turned under, how high it stands round the side, how thick a cord it covers. Each is nil where the recipe does not say.
type Edge struct {
	Face                string
	Beneath, Side, Welt *quantity.Number
}

// Point is a place on a piece, from its datum corner.
type Point struct{ X, Y quantity.Number }

// Marks is a set of marks on pieces. Hole is how wide the hole at each is; zero where none is made.
type Marks struct {
	Name   string
	On     []string
	Points []Point
	Hole   quantity.Number
	At     diag.Span
}

// WorkLine is an operation: Time is for the whole order, Cost is rounded to the cent.
type WorkLine struct {
	Name string
	Time quantity.Number
	Cost quantity.Number
	At   diag.Span
}

// PriceLine is a line of the price. IsTotal marks the sum; IsNote a cell that is no charge.
type PriceLine struct {
	Name    string
	Value   quantity.Number
	Type    check.Type
	IsTotal bool
	IsNote  bool
}

// Caution is a caution with its words.
type Caution struct {
	Name, Text string
}

// Work works an order out. The diagnostics tell what is wrong with it; the result is nil where it cannot be made.
func (e *Engine) Work(o *check.Order, day int64) (*Result, []diag.Diagnostic) {
	plan := e.Plan(o.Recipe, day, o)
	s := plan.NewSheet()
	s.Fill(o)
	return e.finish(s)
}

// Finish makes the result of a sheet that has been filled or changed.
func (e *Engine) Finish(s *Sheet) (*Result, []diag.Diagnostic) { return e.finish(s) }

func (e *Engine) finish(s *Sheet) (*Result, []diag.Diagnostic) {
	b := resultBuilder{r: &Result{}}
	return b.finish(e, s)
}

// finish makes the result of a sheet. The one made before by the same builder is gone.
func (b *resultBuilder) finish(e *Engine, s *Sheet) (*Result, []diag.Diagnostic) {
	b.begin(s)
	b.needs()
	if len(b.faults.all) == 0 && len(b.problems) == 0 {
		b.outputs()
		b.unread(0, b.plan.priceFrom)
	}
	if b.ok() {
		b.buy(e.Lay)
	}
	if b.ok() {
		b.price()
	}
	problems := b.problems
	for _, f := range b.faults.all {
		problems = append(problems, f.Diagnostic())
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return b.r, nil
}

// cutList makes a result of nothing but the pieces, of a sheet that is known to be sound.
func (b *resultBuilder) cutList(s *Sheet) *Result {
	b.begin(s)
	b.r.Sheet = nil
	b.r.Off, _ = s.f.slots[check.OffIndex].Num.Int64()
	for _, in := range b.plan.instances {
		for _, p := range in.recipe.Pieces {
			b.piece(in, p)
		}
	}
	return b.r
}

// resultBuilder gathers what is made of a sheet's values. The room that it has taken serves the next sheet.
type resultBuilder struct {
	s         *Sheet
	plan      *Plan
	r         *Result
	faults    faultList
	problems  []diag.Diagnostic
	uses      []useLine
	points    []Point
	pieces    []Piece // of one material
	materials []*check.Material
	toBuy     amounts
}

// begin makes the builder ready for a sheet.
func (b *resultBuilder) begin(s *Sheet) {
	b.s, b.plan = s, s.Plan
	b.faults.all, b.problems = nil, nil
	b.uses, b.points = b.uses[:0], b.points[:0]
	r := b.r
	*r = Result{Order: s.Order, Recipe: s.Plan.Recipe, Day: s.Plan.Day, Sheet: s,
		Pieces: r.Pieces[:0], Marks: r.Marks[:0], Layouts: r.Layouts[:0], Buy: r.Buy[:0], Work: r.Work[:0],
		Charges: r.Charges[:0], Price: r.Price[:0], Steps: r.Steps[:0], Cautions: r.Cautions[:0]}
}

func (b *resultBuilder) ok() bool { return len(b.faults.all) == 0 && len(b.problems) == 0 }

// value reads a cell of an instance, noting a fault.
func (b *resultBuilder) value(in instance, cell *check.Cell) check.Value {
	v, fault := b.s.Value(in.at(cell))
	b.faults.add(fault)
	return v
}

// needs refuses an order whose conditions do not hold, and asks that are wrong, before anything is made of it.
func (b *resultBuilder) needs() {
	for _, in := range b.plan.instances {
		if b.isNone(in) {
			continue
		}
		b.needsOf(in)
		if !b.ok() {
			return
		}
	}
	if off, ok := b.s.f.slots[check.OffIndex].Num.Int64(); ok {
		b.r.Off = off
	}
}

// needsOf looks at a recipe's asks and needs before those of its parts, which rest on them: so what is wrong is said in the outer recipe's words.
func (b *resultBuilder) needsOf(in instance) {
	for _, cell := range in.recipe.Cells {
		if cell.Role == check.AskCell {
			b.value(in, cell)
		}
	}
	if !b.ok() {
		return
	}
	for _, n := range in.recipe.Needs {
		b.need(in, n)
	}
}

func (b *resultBuilder) need(in instance, n *check.Need) {
	if n.Cond == nil || b.value(in, n.Cond).Yes() {
		return
	}
	if _, fault := b.s.Value(in.at(n.Cond)); fault != nil {
		return
	}
	message := "a need of " + in.recipe.Name + " is not met"
	if n.Else != nil {
		message = b.value(in, n.Else).Text()
	}
	d := diag.Diagnostic{Code: "need-failed", Message: message, At: b.s.orderAt()}
	d.Related = append(d.Related, diag.Related{At: n.At, Note: "the need"})
	b.problems = append(b.problems, d)
}

// outputs gathers pieces, marks, uses, work, charges, steps and cautions from the recipe and its parts.
func (b *resultBuilder) outputs() {
	for _, in := range b.plan.instances {
		if b.isNone(in) {
			continue
		}
		for _, p := range in.recipe.Pieces {
			b.piece(in, p)
		}
		for _, m := range in.recipe.Marks {
			b.marks(in, m)
		}
		for _, u := range in.recipe.Uses {
			b.use(in, u)
		}
		for _, w := range in.recipe.Works {
			b.work(in, w)
		}
		for _, c := range in.recipe.Charges {
			b.charge(in, c)
		}
		for _, st := range in.recipe.Steps {
			b.step(in, st)
		}
	}
}

// unread notes faults in cells of the slots from first to end that nothing reads: nobody's condition guards them, so the order must not hide them.
func (b *resultBuilder) unread(first, end int) {
	for i := first; i < end; i++ {
		if b.plan.roots[i] && !b.isNone(instance{base: b.plan.Slots[i].Base}) {
			_, fault := b.s.Value(i)
			b.faults.add(fault)
		}
	}
}

// isNone reports whether an instance is a part of which none are made: nothing is asked of it, and nothing comes of it.
func (b *resultBuilder) isNone(in instance) bool {
	if in.base == 0 || in.base >= b.plan.priceFrom {
		return false
	}
	v, fault := b.s.Value(in.base + check.OffIndex)
	b.faults.add(fault)
	sign, _ := v.Num.Sign()
	return fault == nil && sign == 0
}

func (b *resultBuilder) off(in instance) quantity.Number {
	v, fault := b.s.Value(in.base + check.OffIndex)
	b.faults.add(fault)
	return v.Num
}

func (b *resultBuilder) piece(in instance, p *check.Piece) {
	if !b.s.holds(in, p.When, &b.faults) {
		return
	}
	out := Piece{Name: in.prefix + p.Name, Order: b.s.orderID(), Form: p.Form, Up: "deep", At: p.At}
	if p.UpWide {
		out.Up = "wide"
	}
	out.Material = b.value(in, p.Material).Material()
	out.Wide = b.value(in, p.Wide).Num
	if p.Deep != nil {
		out.Deep = b.value(in, p.Deep).Num
	}
	count := b.value(in, p.Count).Num.Mul(b.off(in))
	if p.Turn != nil {
		out.Turn = b.value(in, p.Turn).Yes()
	}
	if p.Match != nil {
		at := b.value(in, p.Match)
		out.Match = &Point{at.Item(0).Num, at.Item(1).Num}
	}
	out.Join, out.SideBySide = b.measure(in, p.Join), p.SideBySide
	out.Bias = b.measure(in, p.Bias)
	if p.Mitre != nil {
		out.Mitre = b.value(in, p.Mitre).Num
	}
	out.Edge = Edge{p.Face, b.measure(in, p.Beneath), b.measure(in, p.Side), b.measure(in, p.Welt)}
	if !b.ok() || out.Material == nil {
		return
	}
	b.addPiece(in, out, p, count)
}

// measure reads a cell that need not be there.
func (b *resultBuilder) measure(in instance, cell *check.Cell) *quantity.Number {
	if cell == nil {
		return nil
	}
	n := b.value(in, cell).Num
	return &n
}

// addPiece takes a piece in, unless its size or number cannot be cut.
func (b *resultBuilder) addPiece(in instance, out Piece, p *check.Piece, count quantity.Number) {
	n, ok := count.Int64()
	if s, _ := count.Sign(); !ok || s < 0 || n > maxPieces {
		b.problem("piece-count", p.At, "%s cannot be cut %s times", out.Name, count)
		return
	}
	if n == 0 {
		return
	}
	out.Count = n
	if s, _ := out.Wide.Sign(); s <= 0 {
		b.notPositive(out, p.Wide, out.Wide)
		return
	}
	if s, _ := out.Deep.Sign(); p.Deep != nil && s <= 0 {
		b.notPositive(out, p.Deep, out.Deep)
		return
	}
	if !b.allowances(in, out, p) {
		return
	}
	out.Thick, out.HasThick = b.thick(out.Material)
	b.r.Pieces = append(b.r.Pieces, out)
}

// allowances reports the first that is below nothing, and a mitre at either end that takes more than the whole.
func (b *resultBuilder) allowances(in instance, out Piece, p *check.Piece) bool {
	for _, at := range p.Allowances() {
		n := b.value(in, at).Num
		if s, _ := n.Sign(); s < 0 {
			b.problem("piece-size", at.At, "%s of %s comes to %s: less than nothing", lastName(at.Name), out.Name, b.plan.Show(check.Num(n), at.Type))
			return false
		}
	}
	if greater(out.Mitre.Add(out.Mitre), out.Wide) {
		b.problem("piece-size", p.Mitre.At, "mitre of %s comes to %s: more than half of its length, which is %s", out.Name, b.plan.Show(check.Num(out.Mitre), p.Mitre.Type), b.plan.Show(check.Num(out.Wide), p.Wide.Type))
		return false
	}
	return true
}

// maxPieces is the limit of the language reference on pieces in one layout.
const maxPieces = 10_000

func (b *resultBuilder) thick(m *check.Material) (quantity.Number, bool) {
	f := m.Kind.Field("thick")
	if f == nil || !f.Type.IsLength() {
		return quantity.Number{}, false
	}
	v := b.plan.fields(m)[f.Index]
	b.faults.add(FaultOf(v))
	return v.Num, true
}

func (b *resultBuilder) notPositive(p Piece, cell *check.Cell, n quantity.Number) {
	b.problem("piece-size", p.At, "%s of %s comes to %s: nothing can be cut to that", lastName(cell.Name), p.Name, b.plan.Show(check.Num(n), cell.Type))
}

func lastName(name string) string {
	for i := len(name) - 1; i >= 0; i-- {
		if name[i] == '.' || name[i] == ' ' {
			return name[i+1:]
		}
	}
	return name
}

// problem reports something wrong with the order, with the rule's place beside it.
func (b *resultBuilder) problem(code string, at diag.Span, format string, args ...any) {
	f := newFault(code, b.s.orderAt(), format, args...).note(at, "made here")
	b.problems = append(b.problems, f.Diagnostic())
}

func (b *resultBuilder) marks(in instance, m *check.Marks) {
	if !b.s.holds(in, m.When, &b.faults) {
		return
	}
	out := Marks{Name: in.prefix + m.Name, At: m.At}
	from := len(b.points)
	for _, item := range b.value(in, m.Points).Items() {
		b.points = append(b.points, Point{item.Item(0).Num, item.Item(1).Num})
	}
	out.Points = b.points[from:len(b.points):len(b.points)]
	b.hole(in, m, &out)
	for _, p := range m.On {
		if b.s.holds(in, p.When, &b.faults) {
			out.On = append(out.On, in.prefix+p.Name)
			b.onPiece(in, out, p)
		}
	}
	b.r.Marks = append(b.r.Marks, out)
}

func (b *resultBuilder) hole(in instance, m *check.Marks, out *Marks) {
	if m.Hole == nil {
		return
	}
	out.Hole = b.value(in, m.Hole).Num
	if s, _ := out.Hole.Sign(); s <= 0 && b.ok() {
		b.problem("hole-size", m.Hole.At, "the hole at each of %s comes to %s: none can be made to that", out.Name, b.plan.Show(check.Num(out.Hole), m.Hole.Type))
	}
}

// onPiece reports the first mark that does not lie on its piece.
func (b *resultBuilder) onPiece(in instance, m Marks, p *check.Piece) {
	wide, deep := b.value(in, p.Wide).Num, b.value(in, p.Deep).Num
	for i, pt := range m.Points {
		if within(pt.X, wide) && within(pt.Y, deep) {
			continue
		}
		length := check.LengthType()
		b.problem("mark-outside", m.At, "mark %d of %s, at %s and %s, does not lie on %s, which is %s by %s", i+1, m.Name,
			b.plan.Show(check.Num(pt.X), length), b.plan.Show(check.Num(pt.Y), length), p.Name,
			b.plan.Show(check.Num(wide), length), b.plan.Show(check.Num(deep), length))
		return
	}
}

func within(n, most quantity.Number) bool {
	low, _ := n.Sign()
	high, _ := n.Cmp(most)
	return low >= 0 && high <= 0
}

// work prices an operation: its time for each make, and its setup once.
func (b *resultBuilder) work(in instance, w *check.Work) {
	if !b.s.holds(in, w.When, &b.faults) {
		return
	}
	time := b.value(in, w.Time).Num.Mul(b.off(in))
	if w.Setup != nil {
		time = time.Add(b.value(in, w.Setup).Num)
	}
	rate := b.value(in, w.Rate).Num
	cost, ok := quantity.Cents(time.Mul(rate))
	if !ok {
		b.problem("round-undecided", w.At, "the cost of %s cannot be rounded to the cent", w.Name)
	}
	if s, _ := time.Sign(); s < 0 {
		b.problem("work-negative", w.At, "the time of %s comes to less than nothing", w.Name)
	}
	b.r.Work = append(b.r.Work, WorkLine{in.prefix + w.Name, time, cost, w.At})
}

func (b *resultBuilder) charge(in instance, c *check.Charge) {
	if !b.s.holds(in, c.When, &b.faults) {
		return
	}
	b.r.Charges = append(b.r.Charges, PriceLine{Name: in.prefix + c.Name, Value: b.value(in, c.Value).Num, Type: check.MoneyType()})
}

func (b *resultBuilder) step(in instance, st *check.Step) {
	if !b.s.holds(in, st.When, &b.faults) {
		return
	}
	if st.Text != nil {
		b.r.Steps = append(b.r.Steps, b.value(in, st.Text).Text())
	}
	for _, c := range st.Cautions {
		b.caution(c)
	}
}

// caution takes a caution in, once an order.
func (b *resultBuilder) caution(c *check.Caution) {
	for _, have := range b.r.Cautions {
		if have.Name == c.Name {
			return
		}
	}
	words := ""
	if k, ok := c.Text.(*check.Const); ok {
		words = k.Value.Text()
	} else {
		words = b.s.Scope(0).text(c.Text)
	}
	b.r.Cautions = append(b.r.Cautions, Caution{c.Name, words})
}
