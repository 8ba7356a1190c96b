package layout

// SVG draws every sheet to scale; show writes a measure of grid units for a person.
func (r Result) SVG(show func(int64) string) string { return "" }

// Sketch draws every sheet in text at most columns wide.
func (r Result) Sketch(show func(int64) string, columns int) string { return "" }
