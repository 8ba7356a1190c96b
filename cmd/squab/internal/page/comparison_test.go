package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/page/chromiumtest"
	"squab/cmd/squab/internal/print"
	"squab/eval/audit"
	"squab/lang"
	"squab/lang/diag"
)

// comparedWorkroom compares the fixture's workroom before and after some changes of its text.
func comparedWorkroom(t testing.TB, changes ...string) print.Compared {
	t.Helper()
	files := &diag.Files{}
	book := func(name, text string) audit.Book {
		var problems diag.List
		tree := lang.Parse(files.Add(name, text, diag.House), lang.Limits{}, &problems)
		return audit.Book{Files: files, House: []*lang.File{tree}}
	}
	before := readText(t, "workroom.squab")
	after := before
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(after, changes[i]) {
			t.Fatalf("the workroom does not say %q", changes[i])
		}
		after = strings.Replace(after, changes[i], changes[i+1], 1)
	}
	c, problems := audit.Compare(book("old.squab", before), book("new.squab", after), audit.Runner{Day: 20_600})
	for _, d := range problems {
		t.Fatalf("%+v: %s", files.Place(d.At.Start), d.Message)
	}
	out := print.ComparisonOf(files, c)
	out.Old, out.New = "old.squab", "new.squab"
	return out
}

// sampleComparison changes a rule that many cells rest on, a price and a size.
func sampleComparison(t testing.TB) print.Compared {
	return comparedWorkroom(t, workroomChanges...)
}

func comparisonOf(t testing.TB, c print.Compared) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteComparison(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var dataElement = regexp.MustCompile(`<data value="([^"]*)">([^<]*)</data>`)

// The page holds each quantity of the JSON, as often as the JSON does: exact and as it is shown.
func TestComparisonHoldsTheValuesOfTheJSON(t *testing.T) {
	c := sampleComparison(t)
	c.Total = print.Total{} // that of the prices stands among the totals too
	want, got := map[string]int{}, map[string]int{}
	var tree any
	if err := json.Unmarshal(print.Line(c), &tree); err != nil {
		t.Fatal(err)
	}
	countQuantities(tree, want)
	delete(want, "|")
	for _, m := range dataElement.FindAllStringSubmatch(comparisonOf(t, sampleComparison(t)), -1) {
		got[html.UnescapeString(m[1])+"|"+html.UnescapeString(m[2])]++
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-json +page:\n%s", diff)
	}
	if len(want) < 30 {
		t.Errorf("only %d quantities", len(want))
	}
}

func countQuantities(tree any, count map[string]int) {
	switch tree := tree.(type) {
	case []any:
		for _, item := range tree {
			countQuantities(item, count)
		}
	case map[string]any:
		if exact, ok := tree["exact"].(string); ok {
			value := exact
			if unit := tree["unit"].(string); unit != "" {
				value += " " + unit
			}
			if within, _ := tree["within"].(string); within != "" {
				value += " ± " + within
			}
			count[value+"|"+tree["shown"].(string)]++
			return
		}
		for _, item := range tree {
			countQuantities(item, count)
		}
	}
}

func TestComparisonNamesEachCauseOnce(t *testing.T) {
	p := newComparison(sampleComparison(t))
	count := map[string]int{}
	for _, c := range p.Causes {
		count[c.Cause.Label]++
		if len(c.Orders) == 0 || c.Before == c.After {
			t.Errorf("%s: %d orders, %q to %q", c.Cause.Label, len(c.Orders), c.Before, c.After)
		}
	}
	for label, n := range count {
		if n != 1 {
			t.Errorf("%s stands %d times", label, n)
		}
	}
	if len(count) < 3 {
		t.Errorf("only these causes: %v", count)
	}
	changes := 0
	for _, o := range p.Orders {
		for _, g := range o.Groups {
			changes += len(g.Few)
			for _, s := range g.Sets {
				changes += len(s.Changes)
			}
		}
	}
	if changes != len(p.Compared.Changes) {
		t.Errorf("%d changes on the page, %d in the comparison", changes, len(p.Compared.Changes))
	}
}

// A set of marks with more changed places than a screen's worth is one line that opens; smaller sets and all else stand as they are.
func TestLargeSetsOfMarksAreKeptApart(t *testing.T) {
	var changes []print.Change
	add := func(set string, n int) {
		for i := range n {
			changes = append(changes, print.Change{Name: fmt.Sprintf("%s[%d].x", set, i+1)})
		}
	}
	add("large", 7)
	add("small", 6)
	changes = append(changes, print.Change{Name: "large"}, print.Change{Name: "price.total"})
	add("other", 9)
	var g comparedGroup
	g.part(changes)
	got := []string{fmt.Sprint(len(g.Few), " in few")}
	for _, s := range g.Sets {
		got = append(got, fmt.Sprint(len(s.Changes), " in ", s.Name))
	}
	if diff := cmp.Diff([]string{"8 in few", "7 in large", "9 in other"}, got); diff != "" {
		t.Errorf("changes (-want +got):\n%s", diff)
	}
}

// Each cause says in which orders it changed how much, and totals that changed stand apart from those that did not.
func TestComparisonCounts(t *testing.T) {
	p := newComparison(sampleComparison(t))
	of := map[string]int{}
	for _, c := range p.Causes {
		for _, o := range c.Orders {
			of[c.Cause.Label+" in "+o.Order] += o.Count
		}
	}
	want := map[string]int{}
	for _, ch := range p.Compared.Changes {
		for _, cause := range ch.Causes {
			want[cause.Label+" in "+ch.Order]++
		}
	}
	if diff := cmp.Diff(want, of); diff != "" {
		t.Errorf("changes by cause and order (-changes +causes):\n%s", diff)
	}
	for _, totals := range [][]print.Total{p.Totals, p.Same} {
		if len(totals) == 0 {
			t.Error("no totals")
		}
	}
	for i, all := range [][]print.Total{p.Same, p.Totals} {
		for _, total := range all {
			if same := cmp.Equal(total.Before, total.After); same != (i == 0) {
				t.Errorf("%s stands among the wrong totals", total.Name)
			}
		}
	}
}

func TestComparisonLinksLeadSomewhere(t *testing.T) {
	leadsSomewhere(t, comparisonOf(t, sampleComparison(t)))
}

func TestComparisonOfNothing(t *testing.T) {
	text := comparisonOf(t, print.Compared{Of: print.OfResults, Old: "a.json", New: "b.json", Notes: []string{"Both results come of the same files of rules."}})
	for _, want := range []string{"0 orders compared", "a.json", "the same files of rules"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func TestComparisonHostileTextStaysText(t *testing.T) {
	const bad = `<script>alert(1)</script>`
	text := bad
	c := print.Compared{Of: print.OfRules, Shop: bad, Old: bad, New: bad, Notes: []string{bad}, Added: []string{bad}, Changes: []print.Change{{
		Order: bad, Name: bad, Before: &print.Value{Text: text}, After: &print.Value{Text: text}, Causes: []print.Cause{{Label: bad, Before: bad, After: bad + "1", At: print.At{File: bad}}}}}}
	page := comparisonOf(t, c)
	if strings.Contains(page, "<script") || strings.Count(page, "&lt;script&gt;alert(1)") < 8 {
		t.Errorf("what is hostile does not stay text:\n%s", page)
	}
}

func comparisonInBrowser(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(comparisonOf(t, sampleComparison(t)))
	readsWell(t, b, "comparison")
	onPaper(t, b, "comparison")
	var missing []string
	b.Ask(`[...document.querySelectorAll('a[href^="#"]')].filter(a => !document.querySelector(a.getAttribute('href'))).map(a => a.href)`, &missing)
	none(t, "links to nowhere", missing)
	var sets, shut int
	b.Ask(`document.querySelectorAll('details.set').length`, &sets)
	b.Ask(`[...document.querySelectorAll('details.set')].filter(d => !d.querySelector('table').checkVisibility({contentVisibilityAuto: true})).length`, &shut)
	if sets == 0 || shut != sets {
		t.Errorf("of %d sets %d are shut to begin with", sets, shut)
	}
	var unprinted []string
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": "print"}, nil)
	b.Ask(`[...document.querySelectorAll('details.set')].filter(d => d.offsetHeight < 40 || !d.querySelector('table').checkVisibility({contentVisibilityAuto: true})).map(d => d.firstElementChild.textContent)`, &unprinted)
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": ""}, nil)
	none(t, "sets that paper lacks", unprinted)
	b.Ask(`document.querySelectorAll('details.set summary').forEach(s => s.click())`, nil)
	b.Until(`[...document.querySelectorAll('details.set')].every(d => d.querySelector('table').checkVisibility({contentVisibilityAuto: true}))`)
	b.Quiet("comparison")
	for _, p := range chromiumtest.Papers() {
		if n := pagesOf(b.Printed("comparison", p)); n < 1 || n > 8 {
			t.Errorf("the comparison prints on %d sheets of %s", n, p.Name)
		}
	}
}

// workroomChanges are a rule that many sizes rest on, a price, a share of the price and an order's ask.
var workroomChanges = []string{
	"amend turn_under from 2026-03-01 = 1 3/4 in", "amend turn_under from 2026-03-01 = 2 in",
	"price = $62 per yd", "price = $64 per yd",
	"overhead_share: number = 18%", "overhead_share: number = 20%",
	"straps = 3", "straps = 4",
}
