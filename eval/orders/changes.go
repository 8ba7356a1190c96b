package orders

import (
	"strings"

	"squab/eval/check"
	"squab/lang/diag"
)

// Setting gives one ask, `off`, `date` or `title` of an order another value, as text.
type Setting struct{ Name, Text string }

// Change puts settings into an order. The row that it gives holds the problems, and places those that come of working the order out; file is
// what it calls the settings' place.
func Change(p *check.Program, o *check.Order, file string, settings []Setting) Row {
	r := newReader(strings.NewReader(""), file, p, o.Recipe)
	row := Row{File: file, Line: 1, ID: o.ID, Order: o}
	var record strings.Builder
	for _, s := range settings {
		record.WriteString(s.Name + "=")
		row.given = append(row.given, field{r.values.column(s.Name), s.Text, record.Len()})
		record.WriteString(s.Text + "\n")
	}
	row.record = record.String()
	for _, f := range row.given {
		if !f.column.isKnown() || f.column.use == useID {
			row.Problems = append(row.Problems, row.unknownSetting(f, o.Recipe))
			continue
		}
		r.take(&row, o, f)
	}
	return row
}

func (row Row) unknownSetting(f field, recipe *check.Recipe) diag.Diagnostic {
	d := diag.Diagnostic{Code: "name-unknown", Message: recipe.Name + " has no ask called " + clip(f.column.name), Place: row.placeAt(f.offset - len(f.column.name) - 1)}
	if f.column.near != "" {
		d.Help = "did you mean " + f.column.near + "?"
	}
	return d
}
