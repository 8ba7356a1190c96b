package print

import (
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
)

// CSVHead is the heading of the cut list as CSV (RFC 4180).
const CSVHead = "order,title,recipe,piece,count,wide,deep,thick,material,up\r\n"

// CSVPieces writes the cut list of an order as CSV, a row a piece.
func CSVPieces(program *check.Program, r *eval.Result) string {
	w := orderWriter{program: program, r: r}
	var b strings.Builder
	for _, p := range r.Pieces {
		csvRow(&b, r.Order.ID, r.Order.Title, r.Recipe.Name, p.Name, strconv.FormatInt(p.Count, 10), w.length(p.Wide),
			when(p.Form != check.Stick, w.length(p.Deep)), when(p.HasThick, w.length(p.Thick)), p.Material.Name, when(p.Form == check.Roll, p.Up))
	}
	return b.String()
}

func csvRow(b *strings.Builder, fields ...string) {
	for i, f := range fields {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(csvField(f))
	}
	b.WriteString("\r\n")
}

// csvField quotes a field where it must be. One that a spreadsheet would take for a formula is put behind an apostrophe.
func csvField(f string) string {
	if f != "" && strings.ContainsRune("=+-@\t\r", rune(f[0])) {
		f = "'" + f
	}
	if strings.ContainsAny(f, ",\"\r\n") || strings.TrimSpace(f) != f {
		return `"` + strings.ReplaceAll(f, `"`, `""`) + `"`
	}
	return f
}
