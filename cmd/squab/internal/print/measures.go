package print

import (
	"squab/eval/check"
	"squab/eval/quantity"
)

// measures shows measures as a shop does, and keeps what it showed lately, because orders are much alike. It is for one goroutine.
type measures struct {
	style  quantity.Style
	recent []shown // a power of two of them
}

// recently is how many measures a run of orders keeps.
const recently = 1 << 14

// shown is a measure as text and, where it has been asked for, as JSON.
type shown struct {
	n     quantity.Number
	dim   quantity.Dimension
	set   bool
	text  string
	exact bool // the text says the exact value
	json  string
}

func newMeasures(style quantity.Style, kept int) measures {
	return measures{style, make([]shown, kept)}
}

// of shows a measure. What it gives is good until the next is asked for.
func (m *measures) of(n quantity.Number, t check.Type) *shown {
	dim := t.ShownDim()
	s := &m.recent[place(n, dim)&uint64(len(m.recent)-1)]
	if s.set && s.n == n && s.dim == dim {
		return s
	}
	said := m.style.Show(n, dim)
	*s = shown{n: n, dim: dim, set: n.Small(), text: said.Text, exact: said.Exact}
	return s
}

// place spreads measures over the places in which they are kept.
func place(n quantity.Number, d quantity.Dimension) uint64 {
	dims := uint64(uint8(d.Length)) | uint64(uint8(d.Mass))<<8 | uint64(uint8(d.Time))<<16 | uint64(uint8(d.Angle))<<24 | uint64(uint8(d.Money))<<32 | uint64(uint8(d.Count))<<40
	const odd = 0x9e3779b97f4a7c15 // 2^64 over the golden ratio: Knuth, The Art of Computer Programming vol. 3, 6.4
	return ((n.Hash()^dims)*odd ^ dims) * odd >> 40
}

// appendJSON appends the JSON of a measure.
func (m *measures) appendJSON(b []byte, n quantity.Number, t check.Type) []byte {
	s := m.of(n, t)
	if s.json == "" {
		exact, unit, within := m.style.Exact(n, s.dim)
		s.json = string(appendQuantity(nil, Quantity{exact, unit, s.text, within}))
	}
	return append(b, s.json...)
}
