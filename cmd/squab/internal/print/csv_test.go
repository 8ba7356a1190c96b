package print

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// TestCutListReadsBack reads the cut list by encoding/csv, and each cell stands under its head: lengths as the shop shows them, nothing where a piece has none.
func TestCutListReadsBack(t *testing.T) {
	p, r := worked(t)
	order := *r.Order
	order.ID, order.Title = "7, late", "said \"soon\"\nand again"
	r.Order = &order
	mm := func(n int64) quantity.Number { return quantity.Frac(5*n, 127) }
	seam := mm(12)
	r.Pieces = []eval.Piece{
		{Name: "top", Material: &check.Material{Name: "grey_felt"}, Form: check.Roll, Wide: mm(401), Deep: mm(302), Count: 2, Up: "deep"},
		{Name: "piping", Material: &check.Material{Name: "grey_felt"}, Form: check.Roll, Wide: mm(1900), Deep: mm(38), Count: 1, Up: "deep", Bias: &seam},
		{Name: "core", Material: &check.Material{Name: "foam"}, Form: check.Sheet, Wide: mm(403), Deep: mm(304), Thick: mm(50), HasThick: true, Count: 3, Up: "deep"},
		{Name: "rail", Material: &check.Material{Name: "lath"}, Form: check.Stick, Wide: mm(805), Mitre: mm(19), Count: 4},
		{Name: "=edge", Material: &check.Material{Name: "lath"}, Form: check.Stick, Wide: quantity.Int(4), Count: 5},
	}
	text := CSVHead + string(NewWriter(Page{}, p).CSV(nil, r))
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var got []map[string]string
	for _, row := range rows[1:] {
		piece := map[string]string{}
		for i, head := range rows[0] {
			if row[i] != "" {
				piece[head] = row[i]
			}
		}
		got = append(got, piece)
	}
	want := []map[string]string{
		{"piece": "top", "material": "grey_felt", "wide": "401 mm", "deep": "302 mm", "up": "deep"},
		{"piece": "piping", "material": "grey_felt", "wide": "1900 mm", "deep": "38 mm", "up": "deep", "bias": "yes"},
		{"piece": "core", "material": "foam", "wide": "403 mm", "deep": "304 mm", "thick": "50 mm"},
		{"piece": "rail", "material": "lath", "wide": "805 mm", "mitre": "19 mm"},
		{"piece": "'=edge", "material": "lath", "wide": "~102 mm"},
	}
	for i, piece := range want {
		piece["order"], piece["title"], piece["recipe"], piece["count"] = order.ID, order.Title, "mat", strconv.FormatInt(r.Pieces[i].Count, 10)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}
