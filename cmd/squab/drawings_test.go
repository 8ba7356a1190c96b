package main

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// elements reads a drawing as XML, and counts its elements by name.
func elements(t *testing.T, text string) map[string]int {
	t.Helper()
	counts := map[string]int{}
	for in := xml.NewDecoder(strings.NewReader(text)); ; {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return counts
		}
		if err != nil {
			t.Fatalf("%v: %.200s", err, text)
		}
		if e, is := token.(xml.StartElement); is {
			counts[e.Name.Local]++
		}
	}
}

// TestDrawingsShowEveryPiece draws pieces on each form: what is drawn is XML, names as hostile as may be among it, and has a shape for each copy.
func TestDrawingsShowEveryPiece(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "flat.csv", "name,wide,deep,count\nseat & <back>,20 in,18 in,3\n\"arm \"\"]]>\",9 in,7 in,2\n")
	put(t, "long.csv", "name,long,count\nrail & <stile>,31 in,4\n")
	for _, c := range []struct {
		args   []string
		copies int
	}{
		{[]string{"flat.csv", "--wide", "54 in"}, 5},
		{[]string{"flat.csv", "--form", "sheet", "--wide", "24 in", "--deep", "48 in"}, 5},
		{[]string{"long.csv", "--form", "stick", "--long", "8 ft"}, 4},
	} {
		got := squab("", append([]string{"lay", "--format", "svg"}, c.args...)...)
		counts := elements(t, got.out)
		if got.status != statusWell || counts["svg"] != 1 || counts["rect"]+counts["path"]+counts["polygon"] < c.copies {
			t.Errorf("%v: status %d, %v for %d copies", c.args, got.status, counts, c.copies)
		}
	}
}

// TestBookTablesAreWhole reads the book's Markdown: each row of a table has as many cells as its head.
func TestBookTablesAreWhole(t *testing.T) {
	house(t)
	put(t, "odd.squab", "table odd(run: length from 0 in to 9 ft): length {\n  run | gives | because\n  up to 4 ft | 3 in | \"this | that\"\n  any | 5 in | \"a `tick`\\nand more\"\n}\n")
	got := squab("", "book", "house.squab", "odd.squab", "--format", "markdown")
	if got.status != statusWell {
		t.Fatal(got.err)
	}
	rows, width := 0, 0
	for line := range strings.Lines(got.out) {
		if !strings.HasPrefix(line, "|") {
			width = 0
			continue
		}
		cells := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|")
		if width == 0 {
			width = cells
		}
		if rows++; cells != width {
			t.Errorf("a row of %d cells in a table of %d: %s", cells-1, width-1, line)
		}
	}
	if rows < 10 {
		t.Errorf("the book has %d rows of tables", rows)
	}
}

// TestFormsOfOneRunAgree holds the cut list as CSV, the table of everything and the text against the JSON of the same orders.
func TestFormsOfOneRunAgree(t *testing.T) {
	args := []string{heronQuay, "--by-area", "--date", "2026-04-02"}
	var whole struct {
		Orders []struct {
			ID, Recipe string
			Pieces     []struct {
				Name, Material string
				Wide           shown
				Deep, Mitre    *shown
				Count          json.Number
				Bias           bool
			}
			Price map[string]shown
		}
	}
	if err := json.Unmarshal([]byte(squab("", append([]string{"cut", "--format", "json"}, args...)...).out), &whole); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(squab("", append([]string{"cut", "--format", "csv"}, args...)...).out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	text := squab("", append([]string{"cut"}, args...)...).out
	sheets := strings.Split(text, strings.Repeat("─", 80))
	if len(sheets) != len(whole.Orders) || len(sheets) < 10 {
		t.Fatalf("%d sheets of text, and %d orders in the JSON", len(sheets), len(whole.Orders))
	}
	var want [][]string
	for i, o := range whole.Orders {
		for _, p := range o.Pieces {
			want = append(want, []string{o.ID, o.Recipe, p.Name, p.Count.String(), p.Wide.Shown, p.Deep.text(), p.Material, map[bool]string{true: "yes"}[p.Bias], p.Mitre.text()})
			if line := "  " + p.Name + " "; !strings.Contains(sheets[i], line) {
				t.Errorf("the text of order %s has no piece %s", o.ID, p.Name)
			}
		}
		if total := o.Price["total"].Shown; !strings.Contains(strings.Join(strings.Fields(sheets[i]), " "), "TOTAL "+total) {
			t.Errorf("the text of order %s does not end at %s", o.ID, total)
		}
	}
	var got [][]string
	for _, r := range rows[1:] {
		got = append(got, []string{r[0], r[2], r[3], r[4], r[5], r[6], r[8], r[10], r[11]})
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-JSON +CSV:\n%s", diff)
	}
}

// shown is a quantity as a page shows it.
type shown struct{ Shown string }

func (s *shown) text() string {
	if s == nil {
		return ""
	}
	return s.Shown
}
