package print

import (
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// CSVHead is the heading of the cut list as CSV (RFC 4180).
const CSVHead = "order,title,recipe,piece,count,wide,deep,thick,material,up,bias,mitre\r\n"

// CSV appends the cut list of an order as CSV, a row a piece.
func (w *Writer) CSV(b []byte, r *eval.Result) []byte {
	for i := range r.Pieces {
		b = w.csvPiece(b, r, &r.Pieces[i])
	}
	return b
}

func (w *Writer) csvPiece(b []byte, r *eval.Result, p *eval.Piece) []byte {
	b = csvField(b, r.Order.ID)
	b = csvField(append(b, ','), r.Order.Title)
	b = csvField(append(b, ','), r.Recipe.Name)
	b = csvField(append(b, ','), p.Name)
	b = strconv.AppendInt(append(b, ','), p.Count, 10)
	b = csvField(append(b, ','), w.text.length(p.Wide))
	b = append(b, ',')
	if p.Form != check.Stick {
		b = csvField(b, w.text.length(p.Deep))
	}
	b = append(b, ',')
	if p.HasThick {
		b = csvField(b, w.text.length(p.Thick))
	}
	b = csvField(append(b, ','), p.Material.Name)
	b = append(b, ',')
	if p.Form == check.Roll {
		b = csvField(b, p.Up)
	}
	b = append(append(b, ','), when(p.Bias != nil, "yes")...)
	b = append(b, ',')
	if isMitred(*p) {
		b = csvField(b, w.text.length(p.Mitre))
	}
	return append(b, "\r\n"...)
}

// csvField appends a field, in quotes where it must be. One that a spreadsheet would take for a formula is put behind an apostrophe.
func csvField(b []byte, f string) []byte {
	if f != "" && strings.IndexByte("=+-@\t\r", f[0]) >= 0 {
		f = "'" + f
	}
	if !isBare(f) {
		return append(append(append(b, '"'), strings.ReplaceAll(f, `"`, `""`)...), '"')
	}
	return append(b, f...)
}

// isBare reports whether a field reads as it is: it has no commas, quotes or line ends, and no blanks round it.
func isBare(f string) bool {
	for i := range len(f) {
		if c := f[i]; c == ',' || c == '"' || c == '\r' || c == '\n' {
			return false
		}
	}
	return strings.TrimSpace(f) == f
}
