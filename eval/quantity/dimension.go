package quantity

// Dimension is what a measure measures, as exponents of the base kinds.
// Dimensions compare with ==; the zero value is a plain number.
type Dimension struct{ Length, Mass, Time, Angle, Money, Count int8 }

var (
	Plain     = Dimension{}
	LengthDim = Dimension{Length: 1}
	AreaDim   = Dimension{Length: 2}
	VolumeDim = Dimension{Length: 3}
	MassDim   = Dimension{Mass: 1}
	TimeDim   = Dimension{Time: 1}
	AngleDim  = Dimension{Angle: 1}
	MoneyDim  = Dimension{Money: 1}
	CountDim  = Dimension{Count: 1}
)

func (d Dimension) Mul(e Dimension) (Dimension, bool) { return d, true }
func (d Dimension) Div(e Dimension) (Dimension, bool) { return d, true }
func (d Dimension) Pow(n int) (Dimension, bool)       { return d, true }
func (d Dimension) String() string                    { return "" }
