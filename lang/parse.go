package lang

import "squab/lang/diag"

// Limits says how large a source may be; a field that is zero stands for the default of the reference's section 12.
type Limits struct{ MaxBytes, MaxDepth, MaxDigits int }

// Parse reads one source. It gives what could be read, never nil, and reports every syntax error to problems.
func Parse(src *diag.Source, limits Limits, problems *diag.List) *File {
	return &File{Source: src}
}

// ParseFormula reads a source that is one formula, such as a field of a CSV or JSON order; Bad where it could not be read.
func ParseFormula(src *diag.Source, problems *diag.List) Expr {
	end := src.Base + diag.Pos(len(src.Text))
	return &Bad{At: diag.Span{Start: src.Base, End: end}}
}
