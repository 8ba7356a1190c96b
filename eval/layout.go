package eval

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// Layout says how pieces lie on a material, or, where Laid is false, how much of it they would take at least by area alone. Lengths are in base units.
// Used and Bound are lengths for a roll and counts for sheets and sticks. Of a roll with remnants they count the roll alone.
type Layout struct {
	Material *check.Material
	Form     check.Form
	Wide     quantity.Number // of the roll or the first size of sheet; the length of the first stick
	Used     quantity.Number
	Bound    quantity.Number // proven: no layout uses less
	Waste    quantity.Number // share of what is used, 0 to 1
	Proved   bool            // Used meets Bound, or the goal its own
	Laid     bool
	Goal     *Goal   // what was kept least where several sizes may be cut from; nil where it was Used
	Taken    []Taken // what is to be bought where several sizes may be cut from, each once; nil where it is Used of Material
	Sheets   []Opened
	Placed   []Placed
	Offcuts  []Offcut
	Flaws    []Area
	Repeat   Repeat
	SetBy    []string // the pieces that end where the length used ends
	Rests    string   // what the bound rests on
}

// Takes lists what is to be bought for a layout.
func (l *Layout) Takes() []Taken {
	if l.Taken == nil {
		return []Taken{{l.Material, l.Used}}
	}
	return l.Taken
}

// Goal is what a layout was made to keep least, and the proven least: money, or where no size has a price an area or a length.
type Goal struct {
	Type        check.Type
	Came, Bound quantity.Number
}

// Taken is how much of a material a layout or a use takes: a length of a roll, a number of sheets or sticks.
type Taken struct {
	Material *check.Material
	Amount   quantity.Number
}

// Area is a rectangle of material: X and Wide run across it, Y and Deep along it.
type Area struct{ X, Y, Wide, Deep quantity.Number }

// Opened is one sheet or stick, or the length of the roll used and then each remnant of it. Deep is zero for a stick.
type Opened struct {
	Name       string
	Wide, Deep quantity.Number
}

// Repeat is a pattern: motifs stand so far apart along and across, from the first; every second column half a repeat lower in a half drop.
type Repeat struct {
	Along, Across quantity.Number
	HalfDrop      bool
	First         Point
}

// Placed is one copy of a piece where it lies. Sheet counts from 1; on a roll it is 0, and from 1 the remnants.
type Placed struct {
	Piece, Order  string
	Copy, Sheet   int
	Panel         int             // from 1 in a joined piece; else 0
	Area                          // as it lies
	Turned, Ended bool            // a quarter turn, a half turn
	Mitre         quantity.Number // of a stick's piece, which where it is turned lies with its other side up
	Strips        int64           // how many bias strips the area is cut into; 0 where it is the piece itself
}

// Offcut is what is left over of a sheet, in one rectangle. Its sheet counts as that of a placed piece does.
type Offcut struct {
	Name  string
	Sheet int
	Area
}

// Stock is a material as a layout sees it: its fields on the day.
type Stock struct {
	Material *check.Material
	fields   []check.Value
	plan     *Plan
}

// Stock gives a material's fields as they are in force.
func (p *Plan) Stock(m *check.Material) Stock { return Stock{m, p.fields(m), p} }

// Other gives another material's fields on the same day.
func (s Stock) Other(m *check.Material) Stock { return s.plan.Stock(m) }

// Measure gives a field that is a measure or a count; false where the kind has none, or it could not be worked out.
func (s Stock) Measure(name string) (quantity.Number, bool) {
	v, ok := s.Field(name)
	return v.Num, ok
}

// Items gives the items of a field that is a list; none where the kind has no such field, or it could not be worked out.
func (s Stock) Items(name string) []check.Value {
	v, _ := s.Field(name)
	return v.Items()
}

// Field gives a field's value; false where the kind has none, or it could not be worked out.
func (s Stock) Field(name string) (check.Value, bool) {
	f := s.Material.Kind.Field(name)
	if f == nil {
		return check.Value{}, false
	}
	v := s.fields[f.Index]
	return v, FaultOf(v) == nil
}

// Yes reports whether a yes/no field is there and yes.
func (s Stock) Yes(name string) bool {
	v, ok := s.Field(name)
	return ok && v.Yes()
}

// LayFunc lays pieces on one material. An error says which piece cannot be laid and what would let it.
type LayFunc func(Stock, []Piece) (Layout, error)
