package orders

import (
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"squab/eval/check"
	"squab/lang/diag"
)

// CSV reads comma-separated rows (RFC 4180). The heading names a column `order`, `title`, `off`, `date`, and one for each ask of the recipe,
// in any order; a field that is empty leaves its ask to the default. Lines of nothing are no rows. An inch mark inside a field that does
// not begin with a quote stands for itself.
func CSV(in io.Reader, name string, p *check.Program, recipe *check.Recipe) *Reader {
	r := newReader(in, name, p, recipe)
	r.next = (&csvReader{Reader: r}).row
	return r
}

type csvReader struct {
	*Reader
	columns []*column // nil before the heading is read
	failed  bool
}

// Rows of a quoted field that goes over lines are bounded, so that a quote that is never closed costs one row.
const (
	maxRowLines = 100
	maxRowBytes = maxLine
)

func (c *csvReader) row() (Row, bool) {
	if c.columns == nil && !c.heading() {
		return Row{}, false
	}
	rec, ok := c.record()
	if !ok {
		return Row{}, false
	}
	if rec.problem != "" {
		return c.refused(rec.line, rec.text, rec.offset, "row-malformed", rec.problem), true
	}
	if len(rec.fields) != len(c.columns) {
		return c.refused(rec.line, rec.text, 0, "row-fields", fieldCount(len(rec.fields), len(c.columns))), true
	}
	for i := range rec.fields {
		rec.fields[i].column = c.columns[i]
	}
	return c.order(rec.line, rec.text, rec.fields), true
}

func fieldCount(have, want int) string {
	return "the row has " + plural(have, "field") + " and the heading " + plural(want, "column")
}

// heading reads the names of the columns; without it no row can be read.
func (c *csvReader) heading() bool {
	if c.failed {
		return false
	}
	rec, ok := c.record()
	switch {
	case !ok:
		if c.lines.err == nil {
			c.problem(diag.Diagnostic{Code: "file-empty", Message: "the file holds no orders", Help: headingHelp}, 1, 1)
		}
	case rec.problem != "":
		c.problem(diag.Diagnostic{Code: "row-malformed", Message: "the heading cannot be read: " + rec.problem}, rec.line, 1)
	default:
		c.failed = !c.name(rec)
		return !c.failed
	}
	c.failed = true
	return false
}

// name takes the columns from the heading; it fails where one is there twice, or where none is known.
func (c *csvReader) name(rec record) bool {
	at := Row{record: rec.text, Line: rec.line}
	seen := map[string]bool{}
	for _, f := range rec.fields {
		col := c.values.column(f.text)
		if seen[col.name] && col.use != useComment {
			place := at.placeAt(f.offset)
			c.problem(diag.Diagnostic{Code: "column-twice", Message: "there are two columns " + clip(col.name), Help: "take one out"}, place.Line, place.Column)
			return false
		}
		seen[col.name] = true
		c.columns = append(c.columns, col)
	}
	if !slices.ContainsFunc(c.columns, (*column).isKnown) {
		c.problem(diag.Diagnostic{Code: "heading-missing", Message: "the first line names no ask of " + c.values.recipe.Name + ": " + clip(strings.TrimSpace(rec.text)), Help: headingHelp}, rec.line, 1)
		return false
	}
	for i, f := range rec.fields {
		place := at.placeAt(f.offset)
		c.unknown(c.columns[i], place.Line, place.Column)
	}
	return true
}

const headingHelp = "the first line names the columns, parted by commas: order, title, off, date and the asks"

// record is one row as it stands in the file.
type record struct {
	line    int
	text    string
	fields  []field
	problem string
	offset  int // of the problem
}

// record reads the next row. Where a quote is not closed, only its own line is given up.
func (c *csvReader) record() (record, bool) {
	first, ok := c.lines.nextFilled()
	if !ok {
		return record{}, false
	}
	rec := record{line: first.number, text: first.text}
	if first.tooLong {
		rec.problem = "the row is longer than 1 MiB"
		return rec, true
	}
	if read := c.join(&rec); rec.problem != "" {
		c.lines.putBack(read)
		rec.text, rec.offset = first.text, min(rec.offset, len(first.text))
	} else if !utf8.ValidString(rec.text) {
		rec.problem = "the row is not UTF-8 text"
	}
	return rec, true
}

// join splits a row into fields, going on over lines while it ends inside quotes; it gives the lines that it took.
func (c *csvReader) join(rec *record) (read []line) {
	for rec.split() {
		next, ok := c.lines.next()
		if ok {
			read = append(read, next)
		}
		if !ok || len(read) > maxRowLines {
			rec.problem = "a quote is opened and never closed"
			return read
		}
		if rec.text += "\n" + next.text; len(rec.text) > maxRowBytes {
			rec.problem = "the row is longer than 1 MiB"
			return read
		}
	}
	return read
}

// split cuts the text into fields; true where it ends inside quotes.
func (rec *record) split() (open bool) {
	rec.fields = rec.fields[:0]
	for at := 0; ; {
		f := field{offset: at}
		if strings.HasPrefix(rec.text[at:], `"`) {
			end, text := unquote(rec.text, at+1)
			if end < 0 {
				rec.offset = at
				return true
			}
			f.text, at = text, end
		} else {
			end := strings.IndexByte(rec.text[at:], ',')
			if end < 0 {
				end = len(rec.text) - at
			}
			f.text, at = rec.text[at:at+end], at+end
		}
		rec.fields = append(rec.fields, f)
		if at == len(rec.text) {
			return false
		}
		if rec.text[at] != ',' {
			rec.problem, rec.offset = "a field goes on after its closing quote; inside quotes, a quote is written twice", at
			return false
		}
		at++
	}
}

// unquote gives the text up to the closing quote and where it ends; -1 where it is not closed.
func unquote(text string, at int) (int, string) {
	var b strings.Builder
	for {
		end := strings.IndexByte(text[at:], '"')
		if end < 0 {
			return -1, ""
		}
		b.WriteString(text[at : at+end])
		at += end + 1
		if at == len(text) || text[at] != '"' {
			return at, b.String()
		}
		b.WriteByte('"')
		at++
	}
}
