package quantity

// Style says how a shop's measures are shown.
type Style struct {
	Length   string
	Step     Number
	Feet     bool
	Currency string
}

// Shown is a measure as shown, and what showing it left out.
type Shown struct {
	Text  string
	Exact bool
	Left  Number
}

func (s Style) Show(n Number, d Dimension) Shown              { return Shown{} }
func (s Style) ShowIn(n Number, d Dimension, unit Unit) Shown { return Shown{} }
func (s Style) Exact(n Number, d Dimension) (exact, unit, within string) {
	return "", "", ""
}
