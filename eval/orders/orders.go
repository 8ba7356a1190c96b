// Package orders reads orders of one recipe from CSV (RFC 4180) and JSON lines, row by row at constant memory. What is wrong in one row is
// reported with its line and leaves the others be.
package orders

import (
	"io"
	"iter"
	"strings"
	"unicode/utf8"

	"squab/eval/check"
	"squab/lang/diag"
)

// Row is one order of a file. Order is nil where the row cannot be an order; Problems then says why.
type Row struct {
	File     string
	Line     int    // from 1, where the row begins
	ID       string // what the row says, or its line
	HasID    bool   // the row says it
	Order    *check.Order
	Problems []diag.Diagnostic // each with its Place

	record string
	given  []field
}

// field is one value of a row, where it begins in the row's text.
type field struct {
	column *column
	text   string
	offset int
}

// Reader reads the rows of one file. It is for one goroutine; what it gives is not shared.
type Reader struct {
	name   string
	values *values
	next   func() (Row, bool)
	lines  *lines
	whole  []diag.Diagnostic
}

// Rows gives each row once, in order.
func (r *Reader) Rows() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		for {
			row, ok := r.next()
			if !ok || !yield(row) {
				return
			}
		}
	}
}

// Problems lists what is wrong with the file as a whole, such as a heading that names no ask. It is complete once the rows have been read.
func (r *Reader) Problems() []diag.Diagnostic { return r.whole }

// Err is what kept the file from being read to its end; nil when it was.
func (r *Reader) Err() error { return r.lines.err }

func newReader(in io.Reader, name string, p *check.Program, recipe *check.Recipe) *Reader {
	return &Reader{name: name, values: newValues(p, recipe), lines: newLines(in)}
}

// problem reports something about the file as a whole.
func (r *Reader) problem(d diag.Diagnostic, line, column int) {
	d.Place = diag.Place{File: r.name, Line: line, Column: column}
	r.whole = append(r.whole, d)
}

// unknown reports a column that names no ask, once.
func (r *Reader) unknown(c *column, line, at int) {
	if c.use != useNothing || c.reported {
		return
	}
	c.reported = true
	recipe := r.values.recipe.Name
	if c.near != "" {
		r.problem(diag.Diagnostic{Code: "column-unknown", Message: recipe + " has no ask called " + clip(c.name) + ", so rows that give it are refused",
			Help: "did you mean " + c.near + "? A column whose name begins with # is left out"}, line, at)
		return
	}
	r.problem(diag.Diagnostic{Code: "column-unknown", Severity: diag.Warning, Message: recipe + " has no ask called " + clip(c.name) + ": what it holds is left out"}, line, at)
}

// refused is a row that cannot be read.
func (r *Reader) refused(line int, record string, offset int, code, message string) Row {
	row := Row{File: r.name, Line: line, ID: lineID(line), record: record}
	row.Problems = []diag.Diagnostic{{Code: code, Message: message, Place: row.placeAt(offset)}}
	return row
}

// order makes the order that a row's fields give.
func (r *Reader) order(line int, record string, given []field) Row {
	row := Row{File: r.name, Line: line, ID: lineID(line), record: record, given: given}
	o := &check.Order{Recipe: r.values.recipe, Given: make(map[int]*check.Cell, len(given))}
	for _, f := range given {
		r.take(&row, o, f)
	}
	o.ID = row.ID
	if len(row.Problems) == 0 {
		row.Order = o
	}
	return row
}

// take puts one field into the order. An empty field leaves the ask to its default.
func (r *Reader) take(row *Row, o *check.Order, f field) {
	switch {
	case strings.TrimSpace(f.text) == "" || f.column.use == useComment:
	case f.column.use == useNothing:
		if f.column.near != "" {
			row.Problems = append(row.Problems, diag.Diagnostic{Code: "column-unknown", Message: "there is no ask called " + clip(f.column.name), Place: row.placeAt(f.offset)})
		}
	case f.column.use == useID:
		row.ID, row.HasID = strings.TrimSpace(f.text), true
	case f.column.use == useTitle:
		o.Title = strings.TrimSpace(f.text)
	default:
		cell, problems := r.values.value(f.column.cell, f.text)
		row.Problems = append(row.Problems, row.Placed(problems)...)
		if len(problems) == 0 {
			r.settle(row, o, f, cell)
		}
	}
}

// settle gives a value that is in order to what it is for.
func (r *Reader) settle(row *Row, o *check.Order, f field, cell *check.Cell) {
	switch f.column.use {
	case useOff:
		o.Off = cell.Expr
	case useDate:
		k, _ := cell.Expr.(*check.Const)
		o.Date, o.HasDate = dayOf(k), true
	default:
		o.Given[f.column.cell.Index] = cell
	}
}

// Placed puts problems that were found in the row's order, when it was read or worked out, at their place in the file. What lies in a rule
// keeps its place there.
func (row Row) Placed(problems []diag.Diagnostic) []diag.Diagnostic {
	placed := make([]diag.Diagnostic, len(problems))
	for i, d := range problems {
		placed[i] = row.placed(d)
	}
	return placed
}

func (row Row) placed(d diag.Diagnostic) diag.Diagnostic {
	var inBook []diag.Related
	for _, r := range d.Related {
		if !isField(r.At) && !r.At.IsZero() {
			inBook = append(inBook, r)
		}
	}
	d.Related = inBook
	switch {
	case isField(d.At):
		f, into := row.field(d.At)
		if strings.HasPrefix(row.record[min(f.offset, len(row.record)):], `"`) {
			into++
		}
		d.At, d.Place = diag.Span{}, row.placeAt(f.offset+into)
		if f.column != nil {
			d.Notes = append(append([]string(nil), d.Notes...), f.column.name+" is given as "+clip(f.text))
		}
	case d.At.IsZero() && d.Place == diag.Place{}:
		d.Place = row.placeAt(0)
	}
	return d
}

// field finds the field that a place lies in, and how far into it.
func (row Row) field(at diag.Span) (field, int) {
	index, into := fieldOf(at)
	for _, f := range row.given {
		if f.column.cell != nil && f.column.cell.Index == index {
			return f, min(into, len(f.text))
		}
	}
	return field{}, 0
}

// placeAt is the line and column of a byte of the row's text.
func (row Row) placeAt(offset int) diag.Place {
	before := row.record[:min(offset, len(row.record))]
	line := row.Line + strings.Count(before, "\n")
	before = before[strings.LastIndexByte(before, '\n')+1:]
	return diag.Place{File: row.File, Line: line, Column: utf8.RuneCountInString(before) + 1}
}
