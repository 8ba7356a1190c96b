package page

import (
	"encoding/csv"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
)

// rowsOf reads the CSV of some orders back, as a spreadsheet would, by column.
func rowsOf(t *testing.T, results ...*eval.Result) []map[string]string {
	t.Helper()
	text := made(t, func(w io.Writer) error { return WriteCSV(w, Sheaf{Results: results}) })
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]string
	for _, row := range rows[1:] {
		byName := map[string]string{}
		for i, name := range rows[0] {
			byName[name] = row[i]
		}
		all = append(all, byName)
	}
	return all
}

func TestCSVHoldsEveryValueOfTheJSON(t *testing.T) {
	for _, r := range append(workroom(t), exampleOrders(t)...) {
		there := map[string]bool{}
		for _, row := range rowsOf(t, r) {
			there[row["exact"]+" "+row["unit"]] = true
		}
		for _, q := range quantitiesOf(t, r) {
			if !there[harmless(q.Exact)+" "+q.Unit] {
				t.Errorf("%s: %s %s is in the JSON and not in the CSV", r.Order.ID, q.Exact, q.Unit)
			}
		}
	}
}

func TestCSVRows(t *testing.T) {
	rows := rowsOf(t, workroom(t)[0])
	tests := []struct{ what, name, which, measure, shown, exact, unit string }{
		{"ask", "wide", "", "", "46 in", "46", "in"},
		{"piece", "skin", "quay_velvet", "wide", "59 in", "59", "in"},
		{"piece", "skin", "quay_velvet", "count", "2", "2", ""},
		{"piece", "core", "firm_foam", "thick", "2 in", "2", "in"},
		{"mark", "skin_places", "5", "from the left", "48 1/2 in", "97/2", "in"},
		{"mark", "core_places", "", "hole", "1 1/8 in", "9/8", "in"},
		{"layout", "birch_board", "", "used", "1", "1", ""},
		{"buy", "quay_velvet", "", "cost", "$217.00", "217", "USD"},
		{"work", "buttoning", "", "time", "1 h", "60", "min"},
		{"price", "total", "", "", "$729.25", "2917/4", "USD"},
		{"step", "", "2", "", "Drill 1/4 in through the board at each mark", "", ""},
	}
	for _, tt := range tests {
		found := false
		for _, row := range rows {
			found = found || row["order"] == "1042" && row["what"] == tt.what && row["name"] == tt.name && row["which"] == tt.which && row["measure"] == tt.measure && row["shown"] == tt.shown && row["exact"] == tt.exact && row["unit"] == tt.unit
		}
		if !found {
			t.Errorf("there is no row %+v", tt)
		}
	}
}

// Each layout and each hole stands in the CSV as it is in the result, once; a mark that is no hole has none.
func TestCSVLayoutsAndHoles(t *testing.T) {
	for _, r := range append(workroom(t), exampleOrders(t)...) {
		want, got := map[string]string{}, map[string]string{}
		for _, l := range r.Layouts {
			unit := ""
			if l.Form == check.Roll {
				unit = " in"
			}
			want[l.Material.Name+" used"] = l.Used.Rat().RatString() + unit
			want[l.Material.Name+" least"] = l.Bound.Rat().RatString() + unit
			want[l.Material.Name+" waste"] = l.Waste.Rat().RatString()
		}
		for _, m := range r.Marks {
			if sign, _ := m.Hole.Sign(); sign > 0 {
				want[m.Name+" hole"] = m.Hole.Rat().RatString() + " in"
			}
		}
		for _, row := range rowsOf(t, r) {
			if row["what"] == "layout" || row["measure"] == "hole" {
				got[row["name"]+" "+row["measure"]] = strings.TrimSpace(row["exact"] + " " + row["unit"])
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-result +rows):\n%s", r.Order.ID, diff)
		}
	}
}

// Lines end as RFC 4180 has them.
func TestCSVLines(t *testing.T) {
	text := made(t, func(w io.Writer) error { return WriteCSV(w, Sheaf{Results: workroom(t)[:1]}) })
	if n := strings.Count(text, "\r\n"); n < 50 || n != strings.Count(text, "\n") || !strings.HasSuffix(text, "\r\n") {
		t.Errorf("%d of %d lines end as they should", n, strings.Count(text, "\n"))
	}
}

// No field begins with what a spreadsheet works out, whatever a name says.
func TestCSVIsHarmless(t *testing.T) {
	formula := "=+-@\t\r\n"
	for _, row := range rowsOf(t, workroom(t)...) {
		for name, field := range row {
			if field != "" && strings.ContainsRune(formula, rune(field[0])) {
				t.Errorf("the %s is %q", name, field)
			}
		}
	}
	for _, first := range formula {
		if got := harmless(string(first) + "cmd"); got != "'"+string(first)+"cmd" {
			t.Errorf("%q is left as %q", string(first)+"cmd", got)
		}
	}
	if got := harmless("1042"); got != "1042" {
		t.Errorf("a plain number becomes %q", got)
	}
	last := rowsOf(t, workroom(t)[2])[0]
	if want := `'=cmd & "quotes" </title>`; last["title"] != want {
		t.Errorf("the title is %s, want %s", last["title"], want)
	}
}
