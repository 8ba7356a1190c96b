package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang"
	"squab/lang/diag"
)

// exampleCopy copies the example house into a fresh folder, each file's text changed on the way.
func exampleCopy(t *testing.T, change func(name, text string) string) string {
	t.Helper()
	names, err := filepath.Glob("../../examples/heron-quay/*.squab")
	if err != nil || len(names) == 0 {
		t.Fatal("the example is not there", err)
	}
	dir := t.TempDir()
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		put(t, filepath.Join(dir, filepath.Base(name)), change(filepath.Base(name), string(data)))
	}
	return dir
}

// replaced changes texts that must be there, each once.
func replaced(t *testing.T, pairs ...string) func(string, string) string {
	seen := map[string]bool{}
	t.Cleanup(func() {
		for i := 0; i < len(pairs); i += 2 {
			if !seen[pairs[i]] {
				t.Errorf("the example does not say %q", pairs[i])
			}
		}
	})
	return func(_, text string) string {
		for i := 0; i < len(pairs); i += 2 {
			if strings.Contains(text, pairs[i]) {
				seen[pairs[i]] = true
				text = strings.Replace(text, pairs[i], pairs[i+1], 1)
			}
		}
		return text
	}
}

// comparedJSON is what the JSON of a comparison says.
type comparedJSON struct {
	Orders, Changed int
	Changes         []struct {
		Order, Name   string
		Before, After json.RawMessage
		Change        *exactly
		Causes        []struct{ Label string }
	}
	Added, Removed []string
	Totals         []struct {
		Name          string
		Before, After exactly
	}
	Notes []string
}

// exactly is a quantity as programs read it.
type exactly struct{ Exact, Unit string }

// bare leaves what only one of the ways of comparing can tell, and the last places of approximations, out.
func (c *comparedJSON) bare() {
	c.Notes = nil
	for i := range c.Changes {
		c.Changes[i].Causes = nil
		c.Changes[i].Change.shorten()
	}
	for i := range c.Totals {
		c.Totals[i].Before.shorten()
		c.Totals[i].After.shorten()
	}
}

func (q *exactly) shorten() {
	if q == nil {
		return
	}
	if whole, part, ok := strings.Cut(q.Exact, "."); ok {
		q.Exact = whole + "." + part[:min(len(part), 20)]
	}
}

func compareJSON(t *testing.T, args ...string) comparedJSON {
	t.Helper()
	r := squab("", append([]string{"compare", "--format", "json"}, args...)...)
	if r.status != statusWell {
		t.Fatalf("compare %v: status %d: %s", args, r.status, r.err)
	}
	var c comparedJSON
	if err := json.Unmarshal([]byte(r.out), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// What a house may change from one month to the next.
var houseChanges = map[string][]string{
	"rules":    {"amend turn_under from 2026-03-01 = 1 3/4 in", "amend turn_under from 2026-03-01 = 2 in", "amend markup_share = 45%", "amend markup_share = 50%"},
	"a case":   {"3/8 in  when c.stuff is velvet", "5/8 in  when c.stuff is velvet"},
	"a price":  {"price = $41.50 per yd", "price = $43.25 per yd"},
	"an ask":   {"order 1044 \"Window seat, two cushions\" {\n  make boxed_cushion, 2 off", "order 1044 \"Window seat, two cushions\" {\n  make boxed_cushion, 3 off"},
	"an order": {"order 1044 ", "order 2044 "},
}

// savedResult cuts a folder and keeps what comes of it as JSON.
func savedResult(t *testing.T, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "result.json")
	if r := squab("", append([]string{"cut", "--format", "json", "--out", path}, args...)...); r.status != statusWell {
		t.Fatal(r.err)
	}
	return path
}

// TestResultsCompareAsRulesDo compares the example before and after a change, once by its files and once by the results that cut saved.
func TestResultsCompareAsRulesDo(t *testing.T) {
	same := func(_, text string) string { return text }
	before := exampleCopy(t, same)
	old := savedResult(t, before)
	for name, change := range houseChanges {
		t.Run(name, func(t *testing.T) {
			after := exampleCopy(t, replaced(t, change...))
			now := savedResult(t, after)
			byRules, byResults := compareJSON(t, before, after), compareJSON(t, old, now)
			byRules.bare()
			byResults.bare()
			if diff := cmp.Diff(byRules, byResults); diff != "" {
				t.Errorf("-by rules +by results:\n%s", diff)
			}
			if len(byRules.Changes)+len(byRules.Added) == 0 {
				t.Error("nothing has changed")
			}
		})
	}
}

func TestResultsNameTheAsksThatChanged(t *testing.T) {
	house(t)
	old, now := savedResult(t, "."), savedResult(t, ".", "--set", "7.wide=42 in", "--set", "7.eyes=5")
	c := compareJSON(t, old, now)
	for _, ch := range c.Changes {
		var labels []string
		for _, cause := range ch.Causes {
			labels = append(labels, cause.Label)
		}
		if diff := cmp.Diff([]string{"order 7, wide", "order 7, eyes"}, labels); diff != "" || ch.Order != "7" {
			t.Errorf("order %s, %s: %s", ch.Order, ch.Name, diff)
		}
	}
	if len(c.Changes) < 5 || len(c.Notes) != 1 || !strings.Contains(c.Notes[0], "same files of rules") {
		t.Errorf("%d changes, notes %v", len(c.Changes), c.Notes)
	}
}

// shuffled puts a file's declarations in another order.
func shuffled(t *testing.T, r *rand.Rand, text string) string {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	tree := lang.Parse(files.Add("shuffled", text, diag.House), lang.Limits{}, &problems)
	var parts []string
	for _, d := range tree.Decls {
		parts = append(parts, files.Text(d.Span()))
	}
	r.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
	return strings.Join(parts, "\n\n") + "\n"
}

func TestOrderOfFilesIsNoChange(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	before := exampleCopy(t, func(_, text string) string { return text })
	for range 2 {
		after := exampleCopy(t, func(_, text string) string { return shuffled(t, r, text) })
		holdNoChange(t, compareJSON(t, before, after))
	}
}

func holdNoChange(t *testing.T, c comparedJSON) {
	t.Helper()
	if c.Orders < 10 || c.Changed != 0 || len(c.Changes)+len(c.Added)+len(c.Removed) > 0 {
		t.Errorf("of %d orders %d changed: %v, only in the new %v, only in the old %v", c.Orders, c.Changed, c.Changes, c.Added, c.Removed)
	}
}

// Renamed are cells of the example's recipe, and where its proofs expect them; pieces, which the cut list names, keep theirs.
func TestRenamedCellsAreNoChange(t *testing.T) {
	before := exampleCopy(t, func(_, text string) string { return text })
	cells := regexp.MustCompile(`([ ({])(gap|s)([ ),}])`)
	renamed := 0
	after := exampleCopy(t, func(name, text string) string {
		if name != "recipes.squab" && name != "proofs.squab" {
			return text
		}
		renamed += len(cells.FindAllString(text, -1))
		return cells.ReplaceAllString(text, "${1}${2}_renamed$3")
	})
	if renamed < 8 {
		t.Fatalf("only %d places to rename", renamed)
	}
	holdNoChange(t, compareJSON(t, before, after))
}

// A record stands for its answers where results are compared; the page says what the text does.
func TestRecordsCompareAsResultsAndAsAPage(t *testing.T) {
	house(t)
	old, now := savedResult(t, "."), savedResult(t, ".", "--set", "7.wide=42 in")
	squab("", "cut", ".", "--record", "old.json")
	squab("", "cut", ".", "--record", "new.json", "--set", "7.wide=42 in")
	byResults, byRecords := compareJSON(t, old, now), compareJSON(t, "old.json", "new.json")
	if diff := cmp.Diff(byResults, byRecords); diff != "" || len(byRecords.Changes) == 0 {
		t.Errorf("-of results +of records:\n%s", diff)
	}
	r := squab("", "compare", "old.json", "new.json", "--format", "html", "--out", "page.html")
	page, err := os.ReadFile("page.html")
	if r.status != statusWell || r.out != "" || err != nil {
		t.Fatal(r.err, err)
	}
	for _, want := range []string{"<title>What changed</title>", "order 7, wide", `<data value="91/2 in">`, "All prices together"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page does not hold %s", want)
		}
	}
	if r := squab("", "compare", "old.json", "torn.json", "--format", "html", "--out", "torn.html"); r.status != statusFile {
		t.Errorf("status %d: %s", r.status, r.err)
	}
	if _, err := os.Stat("torn.html"); err == nil {
		t.Error("a page is left of what could not be read")
	}
}
