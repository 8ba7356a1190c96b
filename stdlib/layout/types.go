package layout

// Point is a place on material or in a piece, in grid units.
type Point struct{ X, Y int64 }

// Size is an extent in grid units: Wide across, Deep along.
type Size struct{ Wide, Deep int64 }

// Rect is a rectangle whose least corner is (X, Y).
type Rect struct{ X, Y, Wide, Deep int64 }

// Piece is a rectangle (or the bounding box of another outline) to be cut
// Count times. Order names the order it belongs to and may be empty.
type Piece struct {
	Name, Order string
	Wide, Deep  int64
	Count       int
	// Turn allows a quarter turn (railroaded on a roll, across the grain on a sheet).
	Turn bool
	// EndForEnd allows a half turn. It matters only where Match is set: it moves the match point.
	EndForEnd bool
	// Match is the point in the unturned piece that must land on a motif of the roll's repeat.
	Match *Point
	// Join says how a piece wider than the roll is made up from panels.
	Join Join
}

// JoinHow is a rule for making up a wide piece from panels.
type JoinHow int

const (
	// JoinNone refuses a piece wider than the cloth.
	JoinNone JoinHow = iota
	// JoinCentred keeps one full panel in the middle and two equal sides (common practice, no source).
	JoinCentred
	// JoinSideBySide uses full panels from one side and a last narrower one.
	JoinSideBySide
)

// Join is the joining rule of a piece; Seam is the allowance on each joined edge.
type Join struct {
	How  JoinHow
	Seam int64
}

// Repeat is the pattern of a cloth. A zero Along or Across means no repeat that
// way. Motifs stand at First + (i·Across, j·Along); with HalfDrop every second
// column stands Along/2 further on, and Along must then be even.
type Repeat struct {
	Along, Across int64
	HalfDrop      bool
	First         Point
}

// Remnant is a length of the same cloth used before the roll is cut.
// Its repeat starts at First.
type Remnant struct {
	Wide, Deep int64
	First      Point
}

// Bias is a need for bias strip: Long in total, Wide across the strip, joined on
// the straight grain with Seam on each joined edge. It is taken from offcuts
// where it fits; what does not fit is laid as a band across the cloth.
type Bias struct {
	Name, Order      string
	Wide, Long, Seam int64
}

// Roll is cloth of usable width Wide (inside the selvages). Gap is kept between
// pieces. Flaws are stretches or spots no piece may touch. Long limits the roll
// where it is not zero. Offcuts smaller than LeastOffcut are not named.
type Roll struct {
	Name        string
	Wide, Long  int64
	Repeat      Repeat
	Gap         int64
	Flaws       []Rect
	Remnants    []Remnant
	Bias        []Bias
	LeastOffcut Size
}

// SheetStock is a size of sheet on sale. Limit 0 means as many as wanted.
type SheetStock struct {
	Name       string
	Wide, Deep int64
	Price      int64
	Limit      int
}

// SheetRule says how sheets are cut. With Guillotine every cut runs from edge to
// edge of what is being cut; Stages limits how often the direction of cutting
// may change (0: any), not counting the last trim of a single piece.
type SheetRule struct {
	Kerf        int64
	Guillotine  bool
	Stages      int
	LeastOffcut Size
}

// StickPiece is a length to be cut Count times. Mitre is how much shorter the
// short side is at each end (for 45° the face width); both ends are cut alike.
type StickPiece struct {
	Name, Order string
	Long        int64
	Count       int
	Mitre       int64
}

// StickStock is a length on sale. Limit 0 means as many as wanted.
type StickStock struct {
	Name        string
	Long, Price int64
	Limit       int
}

// StickRule says how sticks are cut. Kerf is measured along the stick. With Nest
// neighbours of equal mitre share their slanted cut, the second turned over.
// With Join a piece may run on from one reel to the next, JoinSeam being lost at
// each join.
type StickRule struct {
	Kerf        int64
	Nest, Join  bool
	JoinSeam    int64
	LeastOffcut int64
}

// Form is the form of the material.
type Form string

// The forms of material.
const (
	FormRoll  Form = "roll"
	FormSheet Form = "sheet"
	FormStick Form = "stick"
)

// Placed is one copy of a piece on sheet Sheet (an index into Result.Sheets).
// Wide and Deep are as it lies. Panel counts from 1 in a joined piece and is 0
// otherwise. Turned is a quarter turn (of a stick's piece, the other side up),
// Ended a half turn. Mitre is that of a whole
// piece of a stick or reel. Strips is not zero
// where the rectangle is cut into bias strips. Part is where along its piece a
// reel's part starts.
type Placed struct {
	Piece, Order     string
	Item             int // index into the pieces given, or into Roll.Bias
	Copy             int // from 1
	Panel            int
	Sheet            int
	X, Y, Wide, Deep int64
	Turned, Ended    bool
	Strips           int64
	Part             int64
	Mitre            int64
}

// Sheet is one sheet, stick, reel, remnant or the roll itself as used. Stock is
// its index in the stocks given, -1 for the roll and -2 for a remnant.
type Sheet struct {
	Name       string
	Stock      int
	Wide, Deep int64
	Price      int64
}

// Offcut is a rectangle left over on a sheet, large enough to be named.
type Offcut struct {
	Name  string
	Sheet int
	Rect
}

// Unplaced is a piece that cannot be laid, why, and what would let it fit. Item
// is an index into the pieces given, or with Bias into Roll.Bias.
type Unplaced struct {
	Piece, Order string
	Item, Count  int
	Reason, Help string
	Bias         bool
}

// Result is a layout. Used, Bound: length for a roll and for sticks, area for
// sheets; Waste is area (length for sticks) not covered by pieces, a mitred one
// counted at the mean of its two sides. Cost and
// CostBound are in coins where stocks have prices. Proved is true where what was
// minimised (cost where there are prices, Used otherwise) meets its bound.
type Result struct {
	Form            Form
	Wide            int64
	Used, Bound     int64
	Waste           int64
	Cost, CostBound int64
	Proved          bool
	SetUps          int // different cutting patterns (sticks)
	Repeat          Repeat
	Sheets          []Sheet
	Placed          []Placed
	Offcuts         []Offcut
	Flaws           []Rect    // on the roll, as given
	Remnants        []Remnant // as given; Sheets from 1 on
	Unplaced        []Unplaced
	SetBy           []string // the pieces that set the length, in order of position
	BoundRests      string   // what the bound rests on
	Work            int64    // counted work done
}
