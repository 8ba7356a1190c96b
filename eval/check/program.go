// Package check turns trees into a checked Program: every name has its definition, every formula its kind and dimension, and tables and
// amendments are proved to be complete and apart. A formula in which a problem was found holds a Bad, so that what does not rest on it still runs.
package check

import (
	"slices"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// Program is a checked book. Slices are in order of declaration, the trade library first.
type Program struct {
	Files     *diag.Files
	Title     string
	Style     quantity.Style
	Units     *quantity.Units
	Choices   []*Choice
	Kinds     []*Kind
	Materials []*Material
	Rules     []*Rule
	Cautions  []*Caution
	Recipes   []*Recipe
	Price     *Recipe // the price block; nil where none is given
	Orders    []*Order
	Proofs    []*Order
	Sound     bool    // no error outside orders and proofs
	Epochs    []int64 // the days on which some amendment begins or ends, rising

	known *checker
}

// definition is anything that the book names.
type definition interface{ Place() diag.Span }

// Why is the reason and source of a formula, empty where none is given.
type Why struct{ Because, Source string }

// Choice is a set of words.
type Choice struct {
	Name, Title string
	Words       []string
	At          diag.Span

	added map[string]diag.Span // by an amendment
	place map[string]int
}

// Place is where it is declared.
func (ch *Choice) Place() diag.Span { return ch.At }

// Kind is a kind of material.
type Kind struct {
	Name, Title string
	Form        Form
	Fields      []*Cell // Index is the field's place
	At          diag.Span
	Layer       diag.Layer

	byName map[string]*Cell
}

// Place is where it is declared.
func (k *Kind) Place() diag.Span { return k.At }

// Field finds a field by name.
func (k *Kind) Field(name string) *Cell { return k.byName[name] }

// Form says how a kind of material is cut and sold.
type Form string

// The forms.
const (
	Roll   Form = "roll"
	Sheet  Form = "sheet"
	Stick  Form = "stick"
	Supply Form = "supply"
)

// Material is a material; a field's formula is its own, an amendment's in force, or its kind's default.
type Material struct {
	Name, Title string
	Kind        *Kind
	Index       int     // its place in the program's Materials
	Given       []*Cell // by field place; nil where the kind's default holds
	Amends      []*FieldAmend
	At          diag.Span
}

// Place is where it is declared.
func (m *Material) Place() diag.Span { return m.At }

// InForce gives the cell that settles a field on a day: the topmost amendment that holds, what the material gives, or its kind's default.
func (m *Material) InForce(field int, day int64) *Cell {
	for _, a := range m.Amends {
		if a.Field.Index == field && a.Holds(day, nil) {
			return a.Cell
		}
	}
	return m.given(field)
}

func (m *Material) given(field int) *Cell {
	if field < len(m.Given) && m.Given[field] != nil {
		return m.Given[field]
	}
	return m.Kind.Fields[field]
}

// FieldAmend changes one field of a material for a time.
type FieldAmend struct {
	Window
	Field *Cell
	Cell  *Cell
}

// Window says on which days something is in force, and in which layer. From is in days; open ends are false.
type Window struct {
	Layer     diag.Layer
	From      int64
	Until     int64
	HasFrom   bool
	HasUntil  bool
	At        diag.Span
	OrderOnly *Order // set for an amendment inside an order
}

// Holds reports whether the window is open on a day, for an order.
func (w Window) Holds(day int64, order *Order) bool {
	if w.OrderOnly != nil && w.OrderOnly != order {
		return false
	}
	return (!w.HasFrom || day >= w.From) && (!w.HasUntil || day < w.Until)
}

// Beats reports whether w lies over v: a higher layer, or in one layer a later from.
func (w Window) Beats(v Window) bool {
	if w.Layer != v.Layer {
		return w.Layer > v.Layer
	}
	if forAll := w.OrderOnly == nil; w.Layer == diag.Order && forAll != (v.OrderOnly == nil) {
		return forAll // what is set for a run lies over what an order itself says
	}
	if w.HasFrom != v.HasFrom {
		return w.HasFrom
	}
	return w.From > v.From
}

// Cell is a named formula: in a recipe, a rule, a kind, a material, the price.
type Cell struct {
	Name   string
	At     diag.Span
	Role   Role
	Type   Type
	Expr   Expr // an ask's default; nil where the order must give it
	From   Expr // an ask's, a parameter's or a field's range; nil is open
	To     Expr
	Help   string
	Why    Why
	Index  int
	Source lang.Expr // the formula as written; nil where none is

	Tolerance *Tolerance // of an ask, a field, or what is given for one; nil where none is stated
}

// Place is where it is declared.
func (c *Cell) Place() diag.Span { return c.At }

// Role says what a cell is for.
type Role uint8

// The roles of cells.
const (
	FormulaCell Role = iota
	AskCell
	HiddenCell // a condition, a text, a material that a statement needs
)

// Rule is a rule or a table, with its amendments.
type Rule struct {
	Name      string
	Params    []*Cell // Index 0, 1, …
	Result    Type
	Base      *Body        // nil where the house must give it
	Amends    []*Amendment // what lies over comes first
	FrameSize int
	IsTable   bool
	At        diag.Span
	Why       Why
	Layer     diag.Layer
}

// Place is where it is declared.
func (r *Rule) Place() diag.Span { return r.At }

// Bodies lists a rule's layers, the topmost amendment first and its base last.
func (r *Rule) Bodies() []*Body {
	var all []*Body
	for _, a := range r.Amends {
		all = append(all, a.Body)
	}
	if r.Base != nil {
		all = append(all, r.Base)
	}
	return all
}

// Amendment is a body that holds in a window.
type Amendment struct {
	Window
	Body *Body
}

// Hit is how a table's rows are read.
type Hit string

// The ways of reading a table.
const (
	First        Hit = ""
	Unique       Hit = "unique"
	Interpolated Hit = "interpolated"
)

// Body is one layer of a rule: cells of its own, and cases of which the first that holds gives the value.
type Body struct {
	Layer  diag.Layer
	Locals []*Cell // in the order in which they can be worked out
	Cases  []*Case
	Hit    Hit
	Axis   int // the parameter along which an interpolated table runs
	At     diag.Span

	broken bool // a case is missing because something was wrong with it
}

// Case is one case or table row. When is nil for `otherwise`. For a table, Tests says what each parameter was asked.
type Case struct {
	At    diag.Span
	Value Expr
	When  Expr
	Why   Why
	Tests []RowTest
	Knot  quantity.Number // interpolated: the place of the row on the axis
}

// RowTest is what a table's row asks of one parameter, as written and as a condition (nil for any).
type RowTest struct {
	Param *Cell
	Text  string
	Cond  Expr
}

// Caution is a warning shown with what is made.
type Caution struct {
	Name string
	Text Expr
	Why  Why
	At   diag.Span
}

// Place is where it is declared.
func (c *Caution) Place() diag.Span { return c.At }

// Recipe is a recipe, or the price. Its cells stand first in its slots, then those of its parts.
type Recipe struct {
	Name, Title string
	At          diag.Span
	Layer       diag.Layer
	Cells       []*Cell // Off and Date first
	Asks        []*Cell
	Needs       []*Need
	Pieces      []*Piece
	Marks       []*Marks
	Uses        []*Use
	Works       []*Work
	Charges     []*Charge
	Steps       []*Step
	Parts       []*Part
	Size        int // slots: its own cells and its parts'
	LoopSize    int // stack slots that its formulas' loops need

	byName map[string]*Cell
	groups map[string]bool // names that are only the front of a dotted name
	parts  map[string]*Part
	lost   map[string]bool // names whose statement was found wrong
	pieces map[string]*Piece
	extent int // slots of the parts so far

	depth    int  // of parts within parts
	tooLarge bool // with its parts; it is said once, of the innermost
	state    checkState
}

// Place is where it is declared.
func (r *Recipe) Place() diag.Span { return r.At }

// Cell finds a cell of the recipe itself by its dotted name.
func (r *Recipe) Cell(name string) *Cell { return r.byName[name] }

// The places of the two cells that every recipe has.
const (
	OffIndex  = 0
	DateIndex = 1
)

// Need is a condition an order must meet. Cells here and below are the recipe's.
type Need struct {
	At   diag.Span
	Cond *Cell
	Else *Cell
}

// Piece is a cut piece. Deep is nil for a stick's length. Match is a point, Join the seam on each joined edge, Bias that on each end of a bias
// strip, Mitre how much shorter the short side of a stick's piece is at each end; When nil is always. Face, Beneath, Side and Welt say how it lies
// at the edge: on which face of the stack, how much is turned under, how high it stands, how thick a cord it covers.
type Piece struct {
	At                          diag.Span
	Name                        string
	Material, Wide, Deep, Count *Cell
	When, Turn, Match, Join     *Cell
	Bias, Mitre                 *Cell
	Beneath, Side, Welt         *Cell
	Face                        string // "above", "below", "both"; "" where it is not said
	UpWide                      bool   // the width runs along the roll
	SideBySide                  bool   // joined from full panels and a narrower one; else a full one in the middle and two equal sides
	Form                        Form
}

// Cells lists all the cells that the piece is made of.
func (p *Piece) Cells() []*Cell {
	return append(given(p.Material, p.Wide, p.Deep, p.Count, p.When, p.Turn, p.Match), p.Allowances()...)
}

// Allowances lists the cells of what is kept, turned or cut off at the piece's edges: lengths, none of which may be below nothing.
func (p *Piece) Allowances() []*Cell { return append(given(p.Join, p.Bias, p.Mitre), p.AtEdge()...) }

// AtEdge lists the cells that say how the piece lies at the edge.
func (p *Piece) AtEdge() []*Cell { return given(p.Beneath, p.Side, p.Welt) }

// given leaves out the cells that a statement does without.
func given(cells ...*Cell) []*Cell {
	return slices.DeleteFunc(cells, func(c *Cell) bool { return c == nil })
}

// Marks is a set of marks on pieces of the same recipe. Hole is how wide the hole at each is; nil where none is made.
type Marks struct {
	At     diag.Span
	Name   string
	On     []*Piece
	Points *Cell
	Hole   *Cell
	When   *Cell
}

// Use is a supply used.
type Use struct {
	At                   diag.Span
	Name                 string
	Material, Need, When *Cell
}

// Work is time at the bench. Setup may be nil.
type Work struct {
	At                      diag.Span
	Name                    string
	Time, Setup, Rate, When *Cell
}

// Charge is a line of the price.
type Charge struct {
	At          diag.Span
	Name        string
	Value, When *Cell
}

// Step is an instruction, or cautions where they belong among the steps.
type Step struct {
	At       diag.Span
	Text     *Cell // nil for cautions
	Cautions []*Caution
	When     *Cell
}

// Part is another recipe inside this one. Asks gives the formula for each ask that is set, by the sub-recipe's cell index, in the outer recipe's scope.
type Part struct {
	At     diag.Span
	Name   string
	Off    Expr // nil is one
	Recipe *Recipe
	Given  map[int]*Cell
	Offset int // where its slots begin in the outer recipe's
}

// Place is where it is declared.
func (p *Part) Place() diag.Span { return p.At }

// Order is an order or a proof. Recipe is nil for a proof that only tries rules.
type Order struct {
	ID, Title string
	At        diag.Span
	Recipe    *Recipe
	Off       Expr // nil is one
	Date      int64
	HasDate   bool
	dateAt    diag.Span
	Given     map[int]*Cell // by the recipe's cell index
	Expects   []*Expect
	Source    string
	LoopSize  int  // stack slots that its proofs' formulas need
	Bad       bool // a problem was found in it
}

// Place is where it is declared.
func (o *Order) Place() diag.Span { return o.At }

// Expect is what a proof says must come out: Left equals Want, or Left holds where Want is nil.
type Expect struct {
	At         diag.Span
	Left, Want Expr
	Text       string
}

type checkState uint8

const (
	fresh checkState = iota
	checking
	done
)
