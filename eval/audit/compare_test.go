package audit_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/audit"
	"squab/lang"
	"squab/lang/diag"
)

func compare(t testing.TB, before, after string) audit.Comparison {
	t.Helper()
	files := &diag.Files{}
	old, new := bookOf(t, files, before), bookOf(t, files, after)
	c, problems := audit.Compare(old, new, audit.Runner{})
	for _, d := range problems {
		t.Fatalf("%v: %s: %s", files.Place(d.At.Start), d.Code, d.Message)
	}
	return c
}

// said writes a comparison in short: what changed, and why.
func said(c audit.Comparison) map[string][]string {
	all := map[string][]string{}
	for _, ch := range c.Changes {
		var causes []string
		for _, cause := range ch.Causes {
			causes = append(causes, cause.Label)
		}
		all[ch.Order+" "+ch.Name] = causes
	}
	return all
}

func TestCompareFindsTheCause(t *testing.T) {
	turn := []string{"rule turn_under"}
	tests := []struct {
		name  string
		edits []edit
		want  map[string][]string
	}{
		{"nothing", nil, map[string][]string{}},
		{"a rule that nothing uses", []edit{{"", "spare: length = 3 in", "spare: length = 4 in"}}, map[string][]string{}},
		{"a reason", []edit{{"", "turn_under: length = 1 1/2 in", `turn_under: length = 1 1/2 in because "pliers"`}}, map[string][]string{}},
		{"brackets", []edit{{"", "core.thick + turn_under +", "(core.thick + turn_under) +"}}, map[string][]string{}},
		{"a cell renamed", []edit{{"", "drop = core", "fall = core"}, {"", "2 * drop + 2", "2 * fall + 2"}, {"", "deep + 2 * drop", "deep + 2 * fall"}}, map[string][]string{}},
		{"a rule", []edit{{"", "turn_under: length = 1 1/2 in", "turn_under: length = 2 in"}}, map[string][]string{
			"1 top.wide": turn, "1 top.deep": turn, "2 top.wide": turn, "2 top.deep": turn,
			"2 buy.slip_vinyl": turn, "2 cost.slip_vinyl": turn, "2 price.material": turn, "2 price.tax": turn, "2 price.total": turn,
		}},
		{"a case that only one order takes", []edit{{"", "5/8 in when", "3/4 in when"}}, map[string][]string{
			"2 top.wide": {"rule seam, case 1"},
		}},
		{"a row of a table", []edit{{"", "up to 3 in   | 1/4 in", "up to 3 in   | 5/16 in"}}, map[string][]string{
			"1 top.wide": {"table pull, row 2"}, "1 top.deep": {"table pull, row 2"}, "2 top.wide": {"table pull, row 2"}, "2 top.deep": {"table pull, row 2"},
		}},
		{"a price", []edit{{"", "$32 per yd", "$34 per yd"}}, map[string][]string{
			"1 cost.harbour_tweed": {"material harbour_tweed, price"}, "1 price.material": {"material harbour_tweed, price"},
			"1 price.tax": {"material harbour_tweed, price"}, "1 price.total": {"material harbour_tweed, price"},
		}},
		{"an order's size", []edit{{"", "deep  = 18 in", "deep  = 18 1/2 in"}}, map[string][]string{
			"1 slab.deep": {"order 1, deep"}, "1 top.deep": {"order 1, deep"}, "1 time.sewing": {"order 1, deep"}, "1 work.sewing": {"order 1, deep"},
			"1 price.labour": {"order 1, deep"}, "1 price.total": {"order 1, deep"},
		}},
		{"an order that is refused now", []edit{{"", "wide  = 40 in", "wide  = 14 in"}}, nil},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got := said(compare(t, house, edited(t, house, test.edits...)))
			if test.want == nil {
				if diff := cmp.Diff([]string{"order 1, wide"}, got["1 refused"]); diff != "" {
					t.Error(diff)
				}
				return
			}
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

// The edits of the property below, each under the label of the cause that it is.
var edits = []edit{
	{"rule turn_under", "turn_under: length = 1 1/2 in", "turn_under: length = 1 7/8 in"},
	{"rule spare", "spare: length = 3 in", "spare: length = 5 in"},
	{"rule seam, case 1", "5/8 in when c.stuff is vinyl", "7/8 in when c.stuff is vinyl"},
	{"rule seam, case 2", "1/2 in otherwise", "7/16 in otherwise"},
	{"amendment of seam from 2026-03-01, case 1", "3/8 in when c.stuff is velvet", "1/4 in when c.stuff is velvet"},
	{"table pull, row 2", "up to 3 in   | 1/4 in", "up to 3 in   | 1/2 in"},
	{"table pull, row 3", "any          | 3/8 in", "any          | 1 in"},
	{"material harbour_tweed, price", "$32 per yd", "$39 per yd"},
	{"material firm, thick", "thick = 2 in", "thick = 3 1/2 in"},
	{"material firm, price", "$60 per each", "$65 per each"},
	{"rule labour_rate", "$48 per h", "$51 per h"},
	{"recipe pad, piece slab", "piece slab from core = wide by deep", "piece slab from core = (wide + 1/2 in) by deep"},
	{"the price, charge tax", "8% * material", "9% * material"},
	{"order 1, deep", "deep  = 18 in", "deep  = 19 in"},
	{"order 2, wide", "wide  = 30 in", "wide  = 33 in"},
	{"order 2, cover", "cover = slip_vinyl", "cover = harbour_tweed"},
}

// Root causes applied alone make the change; leave one out, and they do not. Both are tried on the text of the house, not by way of the trees that found them.
func TestCausesAloneMakeTheChange(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	rounds := 12
	if testing.Short() {
		rounds = 3
	}
	for range rounds {
		var chosen []edit
		for _, e := range edits {
			if random.IntN(3) == 0 {
				chosen = append(chosen, e)
			}
		}
		after := edited(t, house, chosen...)
		now := map[string]map[string]string{"1": factsOf(t, after, "1"), "2": factsOf(t, after, "2")}
		for _, ch := range compare(t, house, after).Changes {
			checkCauses(t, chosen, ch, now[ch.Order])
		}
	}
}

func checkCauses(t *testing.T, chosen []edit, ch audit.Change, now map[string]string) {
	t.Helper()
	name := fmt.Sprintf("order %s, %s", ch.Order, ch.Name)
	alone := only(t, chosen, ch.Causes)
	if got := factsOf(t, edited(t, house, alone...), ch.Order)[ch.Name]; got != now[ch.Name] {
		t.Errorf("%s: with its causes alone %v it is %q, not %q", name, ch.Causes, got, now[ch.Name])
	}
	for i := range alone {
		rest := append(append([]edit(nil), alone[:i]...), alone[i+1:]...)
		if got := factsOf(t, edited(t, house, rest...), ch.Order)[ch.Name]; got == now[ch.Name] {
			t.Errorf("%s: without %s it comes out the same", name, alone[i].label)
		}
	}
}

// only picks the edits that are causes; each cause must be one.
func only(t *testing.T, chosen []edit, causes []audit.Cause) []edit {
	t.Helper()
	var all []edit
	for _, c := range causes {
		found := false
		for _, e := range chosen {
			if e.label == c.Label {
				all, found = append(all, e), true
			}
		}
		if !found {
			t.Fatalf("the cause %q was never made", c.Label)
		}
	}
	return all
}

func TestCompareTwoDays(t *testing.T) {
	text := edited(t, house,
		edit{"", "cover = slip_vinyl", "cover = grey_velvet"},
		edit{"", "rule labour_rate", "material grey_velvet: cloth {\n  usable = 54 in\n  stuff = velvet\n  price = $50 per yd\n}\nrule labour_rate"})
	b := bookOf(t, &diag.Files{}, text)
	before := b.On(lang.DateLit{Year: 2026, Month: 2, Day: 28})
	after := b.On(lang.DateLit{Year: 2026, Month: 3, Day: 1})
	c, problems := audit.Compare(before, after, audit.Runner{Day: 20600, All: true})
	if len(problems) > 0 {
		t.Fatal(problems[0].Message)
	}
	want := map[string][]string{"2 top.wide": {"amendment of seam from 2026-03-01"}}
	if diff := cmp.Diff(want, said(c)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

func TestCompareCountsOrdersAndTotals(t *testing.T) {
	after := edited(t, house, edit{"", "order 2 {", "order 3 {"}, edit{"", "$32 per yd", "$36 per yd"})
	c := compare(t, house, after)
	if diff := cmp.Diff([]any{1, []string{"3"}, []string{"2"}}, []any{c.Orders, c.Added, c.Removed}); diff != "" {
		t.Error(diff)
	}
	was, is := factsOf(t, house, "1"), factsOf(t, after, "1")
	for _, total := range c.Totals {
		if total.Old.String() != was[total.Name] || total.New.String() != is[total.Name] {
			t.Errorf("%s over the one order of both went from %s to %s, want %s to %s", total.Name, total.Old, total.New, was[total.Name], is[total.Name])
		}
	}
	if len(c.Totals) < 8 {
		t.Errorf("only %d totals: %v", len(c.Totals), c.Totals)
	}
}

// layeredBook is a house over a trade of its own.
func layeredBook(t testing.TB, files *diag.Files, trade, house string) audit.Book {
	t.Helper()
	b := bookOf(t, files, house)
	var problems diag.List
	b.Trade = []*lang.File{lang.Parse(files.Add("trade/rules.squab", trade, diag.Trade), lang.Limits{}, &problems)}
	if problems.HasErrors() {
		t.Fatal(problems.All()[0].Message)
	}
	return b
}

// A book that was kept with its own trade is compared with one over today's: what the trade changed is a cause as any other, and is called the trade's.
func TestTradesThatDifferAreCompared(t *testing.T) {
	const trade = "rule turn_under: length = 1 1/2 in\nrule spare: length = 3 in\n"
	bare := edited(t, house, edit{"", "rule turn_under: length = 1 1/2 in\nrule spare: length = 3 in\n", ""})
	amended := bare + "amend turn_under from 2026-01-01 = 1 3/4 in\n"
	for _, test := range []struct {
		name, oldTrade, newTrade, old, new string
		want                               []string
	}{
		{"the trade's rule", trade, edited(t, trade, edit{"", "1 1/2 in", "2 in"}), bare, bare, []string{"the trade's rule turn_under"}},
		{"a reason of the trade", trade, edited(t, trade, edit{"", "1 1/2 in", `1 1/2 in because "room for pliers"`}), bare, bare, nil},
		{"beneath an amendment", trade, edited(t, trade, edit{"", "1 1/2 in", "2 in"}), amended, amended, nil},
		{"an amendment taken out", trade, edited(t, trade, edit{"", "1 1/2 in", "2 in"}), amended, bare, []string{"the trade's rule turn_under", "amendment of turn_under from 2026-01-01"}},
		{"an amendment of the house's alone", trade, trade, amended, bare, []string{"amendment of turn_under from 2026-01-01"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			files := &diag.Files{}
			c, problems := audit.Compare(layeredBook(t, files, test.oldTrade, test.old), layeredBook(t, files, test.newTrade, test.new), audit.Runner{})
			if len(problems) > 0 {
				t.Fatal(problems[0].Message)
			}
			if diff := cmp.Diff(test.want, said(c)["1 top.wide"]); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
		})
	}
}

// Where one change does what two others do together, the one is told, whichever stands first.
func TestCausesAreTheFewest(t *testing.T) {
	const (
		alone    = "rule alone: length = 2 in\n"
		together = "rule left: length = 1 in\nrule right: length = 1 in\n"
		tag      = "recipe tag { piece tag from harbour_tweed = max(alone, left + right) by 4 in }\norder 9 { make tag }\n"
	)
	moved := strings.NewReplacer("= 2 in", "= 4 in", "= 1 in", "= 2 in")
	for _, rules := range []string{alone + together, together + alone} {
		files := &diag.Files{}
		c, problems := audit.Compare(bookOf(t, files, house+rules+tag), bookOf(t, files, house+moved.Replace(rules)+tag), audit.Runner{})
		if len(problems) > 0 {
			t.Fatal(problems[0].Message)
		}
		if diff := cmp.Diff([]string{"rule alone"}, said(c)["9 tag.wide"]); diff != "" {
			t.Errorf("%s-want +got:\n%s", rules, diff)
		}
	}
}
