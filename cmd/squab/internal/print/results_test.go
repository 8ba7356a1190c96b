package print

import (
	"math/big"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
)

// saved is a small result as cut writes it, the values put in.
func saved(rules, wide, price string) string {
	return `{"schema":1,"rules":"` + rules + `","orders":[{"id":"7","title":"","recipe":"mat","count":1,"date":"2026-04-02","given":["wide"],` +
		`"cells":{"wide":{"exact":"` + wide + `","unit":"in","shown":"` + wide + ` in"}},"pieces":[{"name":"top","material":"felt","wide":{"exact":"` + wide +
		`","unit":"in","shown":"` + wide + ` in"},"count":1,"up":"deep"}],"marks":[],"layouts":[],"buy":[],"work":[],"charges":{},` +
		`"price":{"total":{"exact":"` + price + `","unit":"USD","shown":"$` + price + `"}},"steps":[],"cautions":[]}],` +
		`"refused":[{"order":"8","problems":[{"message":"too wide"}]}],"together":[]}`
}

func resultsOf(t *testing.T, text string) Results {
	t.Helper()
	r, err := ReadResults([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestCompareResults(t *testing.T) {
	c, err := CompareResults(resultsOf(t, saved("a", "91/2", "10")), resultsOf(t, saved("b", "48", "12.5")))
	if err != nil {
		t.Fatal(err)
	}
	want := []Change{
		{"7", "top.wide", &Value{Quantity: &Quantity{"91/2", "in", "91/2 in", ""}}, &Value{Quantity: &Quantity{"48", "in", "48 in", ""}},
			&Quantity{"5/2", "in", "+2 1/2 in", ""}, []Cause{{Label: "order 7, wide", Before: "91/2 in", After: "48 in"}}},
		{"7", "price.total", &Value{Quantity: &Quantity{"10", "USD", "$10", ""}}, &Value{Quantity: &Quantity{"12.5", "USD", "$12.5", ""}},
			&Quantity{"5/2", "USD", "+$2.50", ""}, []Cause{{Label: "order 7, wide", Before: "91/2 in", After: "48 in"}}},
	}
	if diff := cmp.Diff(want, c.Changes); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if c.Orders != 2 || c.Changed != 1 || c.Refused != 1 || c.Total.After.Shown != "$12.50" || !strings.Contains(c.Notes[0], "cannot be told from results") {
		t.Errorf("%+v", c)
	}
}

// TestSmallDifferencesOfResultsAreTold changes one thing of an order at a time.
func TestSmallDifferencesOfResultsAreTold(t *testing.T) {
	base := strings.NewReplacer(`"cells":{`, `"cells":{"off":{"exact":"1","unit":"","shown":"1"},"date":"2026-04-02","lined":false,`,
		`"price":{`, `"price":{"tax":{"exact":"1","unit":"USD","shown":"$1.00","within":"1/1000"},`).Replace(saved("a", "48", "10"))
	for _, c := range []struct{ from, to, want string }{
		{`"within":"1/1000"`, `"within":"1/100"`, "price.tax: $1.00, $1.00, ~$0.00; "},
		{`"material":"felt"`, `"material":"flax"`, "top.from: felt, flax, ; "},
		{`"count":1,"up"`, `"count":3,"up"`, "top.count: 1, 3, +2; "},
		{`"exact":"10","unit":"USD","shown":"$10"`, `"exact":"10","unit":"GBP","shown":"£10"`, "price.total: $10, £10, ; "},
		{`"exact":"10","unit":"USD","shown":"$10"`, `"exact":"-8.5","unit":"USD","shown":"-$8.50"`, "price.total: $10, -$8.50, -$18.50; "},
		{`"off":{"exact":"1","unit":"","shown":"1"}`, `"off":{"exact":"2","unit":"","shown":"2"}`, ""},
	} {
		compared, err := CompareResults(resultsOf(t, base), resultsOf(t, strings.Replace(base, c.from, c.to, 1)))
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, ch := range compared.Changes {
			got += ch.Name + ": " + ch.Before.Shown() + ", " + ch.After.Shown() + ", " + shownOr(ch.Difference) + "; "
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.to, diff)
		}
	}
}

// TestCausesAreEveryAskThatChanged changes what an order gives, how many are made and the day, and a size with them.
func TestCausesAreEveryAskThatChanged(t *testing.T) {
	asks := func(off, date, lined, wide string) string {
		return strings.Replace(saved("a", wide, "10"), `"cells":{`, `"cells":{"off":{"exact":"`+off+`","unit":"","shown":"`+off+`"},"date":"`+date+`","lined":`+lined+`,`, 1)
	}
	after := strings.Replace(asks("2", "2026-05-01", "true", "50"), `"given":["wide"]`, `"given":["lined","wide"]`, 1)
	c, err := CompareResults(resultsOf(t, asks("1", "2026-04-02", "false", "48")), resultsOf(t, after))
	if err != nil || len(c.Changes) != 1 {
		t.Fatalf("%v, %d changes", err, len(c.Changes))
	}
	want := []Cause{{Label: "order 7, off", Before: "1", After: "2"}, {Label: "order 7, date", Before: "2026-04-02", After: "2026-05-01"},
		{Label: "order 7, wide", Before: "48 in", After: "50 in"}, {Label: "order 7, lined", Before: "no", After: "yes"}}
	if diff := cmp.Diff(want, c.Changes[0].Causes); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestCausesAreToldApart changes an ask by less than is shown, and how it is shown but not what it is.
func TestCausesAreToldApart(t *testing.T) {
	ask := func(exact, shown, price string) string {
		return strings.Replace(saved("a", "48", price), `"cells":{"wide":{"exact":"48","unit":"in","shown":"48 in"}`, `"cells":{"wide":{"exact":"`+exact+`","unit":"in","shown":"`+shown+`"}`, 1)
	}
	for _, c := range []struct {
		before, after string
		want          []Cause
	}{
		{ask("1537/32", "~48 1/16 in", "10"), ask("961/20", "~48 1/16 in", "11"), []Cause{{Label: "order 7, wide", Before: "1537/32 in", After: "961/20 in"}}},
		{ask("193/4", "48 1/4 in", "10"), ask("193/4", "~48 in", "11"), []Cause{}},
	} {
		compared, err := CompareResults(resultsOf(t, c.before), resultsOf(t, c.after))
		if err != nil || len(compared.Changes) != 1 {
			t.Fatalf("%v, %d changes", err, len(compared.Changes))
		}
		if diff := cmp.Diff(c.want, compared.Changes[0].Causes); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	}
}

// TestOrdersOfOneNumberAreComparedOneByOne compares results in which a number stands more than once, and another looks like the second of it.
func TestOrdersOfOneNumberAreComparedOneByOne(t *testing.T) {
	with := func(prices ...string) Results {
		r := resultsOf(t, saved("a", "48", prices[0]))
		for i, id := range []string{"7", "7 (2)", "7"} {
			more := resultsOf(t, saved("a", "48", prices[i+1])).Orders[0]
			more.ID = id
			r.Orders = append(r.Orders, more)
		}
		return r
	}
	c, err := CompareResults(with("10", "11", "12", "13"), with("10", "21", "22", "23"))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, ch := range c.Changes {
		got = append(got, ch.Order+": "+ch.Difference.Shown)
	}
	if diff := cmp.Diff([]string{"7 (2): +$10.00", "7 (2) (2): +$10.00", "7 (3): +$10.00"}, got); diff != "" || c.Changed != 3 {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestTotalsOfResultsAddOrders compares two orders that both changed, and one that only one side can make.
func TestTotalsOfResultsAddOrders(t *testing.T) {
	two := func(first, second string) Results {
		r := resultsOf(t, saved("a", "48", first))
		more := resultsOf(t, saved("a", "48", second)).Orders[0]
		more.ID = "9"
		r.Orders = append(r.Orders, more)
		return r
	}
	c, err := CompareResults(two("10", "20.5"), two("12", "25"))
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Total.Before.Shown + " " + c.Total.After.Shown + " " + c.Total.Difference.Shown; got != "$30.50 $37.00 +$6.50" {
		t.Errorf("the prices add up to %s", got)
	}
	lone := two("10", "20.5")
	lone.Orders = lone.Orders[:1]
	if c, err = CompareResults(two("10", "20.5"), lone); err != nil || c.Total.Before.Shown != "$10.00" || c.Total.After.Shown != "$10.00" {
		t.Errorf("an order of one side alone is added: %+v (%v)", c.Total, err)
	}
}

// TestResultsHoldTheFactsOfTheirOrders reads what an order comes to from its JSON: name by name what a comparison of rules takes from the order itself.
func TestResultsHoldTheFactsOfTheirOrders(t *testing.T) {
	p, r := worked(t)
	r.Pieces = variedPieces()
	r.Layouts = nil
	var want, got []string
	m := maker{p}
	for _, f := range audit.Facts(r, nil) {
		v := m.fact(&f)
		want = append(want, f.Name+" = "+exactly(v))
	}
	results := resultsOf(t, `{"schema":1,"rules":"a","orders":[`+string(NewWriter(Page{}, p).JSON(nil, r))+`],"refused":[],"together":[]}`)
	for _, f := range results.Orders[0].facts() {
		got = append(got, f.name+" = "+exactly(&f.value))
	}
	if diff := cmp.Diff(want, got); diff != "" || len(got) < 40 {
		t.Errorf("%d facts (-of the order +of its JSON):\n%s", len(got), diff)
	}
}

// exactly writes a value of any kind.
func exactly(v *Value) string {
	if v.Quantity == nil {
		return v.Text
	}
	return v.Quantity.Exact + " " + v.Quantity.Unit + " " + v.Quantity.Within
}

// TestAnOrderOfOneSideIsNotAdded compares an order that is refused on one side, and one that both make.
func TestAnOrderOfOneSideIsNotAdded(t *testing.T) {
	both := resultsOf(t, saved("a", "48", "10"))
	lone := resultsOf(t, saved("a", "48", "12"))
	made := resultsOf(t, saved("a", "48", "100")).Orders[0]
	made.ID = "8"
	lone.Orders, lone.Refused = append(lone.Orders, made), []Refused{}
	for _, c := range []struct {
		before, after Results
		want          string
	}{{both, lone, "$10.00 $12.00 +$2.00"}, {lone, both, "$12.00 $10.00 -$2.00"}} {
		compared, err := CompareResults(c.before, c.after)
		if err != nil {
			t.Fatal(err)
		}
		if got := compared.Total.Before.Shown + " " + compared.Total.After.Shown + " " + compared.Total.Difference.Shown; got != c.want || compared.Changed != 2 {
			t.Errorf("the prices add up to %s, want %s; %d orders changed", got, c.want, compared.Changed)
		}
	}
}

func TestResultsThatDoNotFitAreNamed(t *testing.T) {
	good := saved("a", "91/2", "10")
	for _, test := range []struct{ from, to, want string }{
		{`"schema":1`, `"schema":7`, "schema: expected 1, found 7"},
		{`"orders":[`, `"orders":7,"x":[`, "orders: a number stands there"},
		{`"count":1,"up"`, `"count":"one","up"`, "count: a string stands there"},
		{`"together":[]}`, `"together":[]`, "ends before it is complete"},
		{`"together":[]}`, `"together":[]}{}`, "something follows"},
		{good, `{"schema":1}`, "orders: this is not what"},
		{good, `[]`, "a array stands there"},
		{`"rules"`, `"rulez"`, "rulez"},
		{`"cells":{`, `"cells":[{`, "invalid character"},
		{`"price":{"total":{`, `"price":{"total":7,"more":{`, "number"},
		{`"orders":[`, `"orders":[null,`, "orders: number 1 is no order"},
		{`"refused":[`, `"refused":[{"order":"9","problems":[]},null,`, "refused: number 2 is no order"},
		{`"recipe":"mat",`, ``, "orders: number 1 is no order"},
		{`"cells":{`, `"more":{`, `unknown field "more"`},
		{`"cells":{`, `"cells":null,"more":{`, "expected an object, found null"},
	} {
		changed := strings.Replace(good, test.from, test.to, 1)
		if _, err := ReadResults([]byte(changed)); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v, want %q", test.to, err, test.want)
		}
	}
	_, err := CompareResults(resultsOf(t, saved("a", "1e99", "10")), resultsOf(t, saved("a", "48", "10")))
	if err == nil || !strings.Contains(err.Error(), "order 7, top.wide") {
		t.Errorf("a number that is none: %v", err)
	}
}

// TestEmptyObjectsOfResultsAreObjects reads an order without cells, and one whose prices stand twice, of which the last count as in all JSON.
func TestEmptyObjectsOfResultsAreObjects(t *testing.T) {
	r := resultsOf(t, strings.NewReplacer(`"cells":{`, `"cells":{},"cells":{`, `"price":{`, `"price":{"total":{"exact":"7","unit":"USD","shown":"$7"}},"price":{`).Replace(saved("a", "48", "10")))
	if o := r.Orders[0]; len(o.Cells) != 1 || len(o.Price) != 1 || o.Price[0].value.Exact != "10" {
		t.Errorf("%d cells, prices %v", len(o.Cells), o.Price)
	}
	text := saved("a", "48", "10")
	from := strings.Index(text, `"cells":{`) + len(`"cells":{`)
	to := strings.Index(text, `},"pieces"`)
	if r := resultsOf(t, text[:from]+text[to:]); len(r.Orders[0].Cells) != 0 {
		t.Errorf("%v", r.Orders[0].Cells)
	}
}

func TestAmountsAreShownInTheirUnits(t *testing.T) {
	for _, test := range []struct{ exact, within, unit, want string }{
		{"5/64", "", "in", "+5/64 in"},
		{"-3", "", "mm", "-3 mm"},
		{"1/20", "", "mm", "+0.05 mm"},
		{"1/3", "", "in", "~+21/64 in"},
		{"90", "", "min", "+1 h 30 min"},
		{"0", "", "USD", "$0.00"},
		{"2", "", "", "+2"},
		{"1/2", "", "kg", "+500 g"},
		{"7", "", "USD per yd", "+7 USD per yd"},
		{"0.5", "0.001", "in", "~+1/2 in"},
	} {
		c := &resultsComparer{}
		a := c.amount("7", "x", Quantity{Exact: test.exact, Unit: test.unit, Within: test.within})
		if got := a.signed().Shown; got != test.want || c.err != nil {
			t.Errorf("%s %s: %s, want %s (%v)", test.exact, test.unit, got, test.want, c.err)
		}
	}
}

// TestDecimalsHoldWhatTheyStandFor writes approximations as decimals: what is left out of the places is in the bound.
func TestDecimalsHoldWhatTheyStandFor(t *testing.T) {
	for _, exact := range []string{"1/3", "-2/7", "22/7", "1/1024", "5"} {
		for _, within := range []string{"1/1000", "1/3", "1/1000000000000000000000000000000000"} {
			c := &resultsComparer{}
			q := c.amount("7", "x", Quantity{Exact: exact, Unit: "in", Within: within}).quantity()
			rat := func(text string) *big.Rat {
				r, ok := new(big.Rat).SetString(text)
				if !ok {
					t.Fatalf("%q is no number", text)
				}
				return r
			}
			off := new(big.Rat).Sub(rat(q.Exact), rat(exact))
			if most := off.Abs(off).Add(off, rat(within)); most.Cmp(rat(q.Within)) > 0 {
				t.Errorf("%s within %s is written %s within %s, which does not hold it", exact, within, q.Exact, q.Within)
			}
		}
	}
}

// TestDifferenceOfUnlikeThingsIsNotTold compares facts whose kinds differ.
func TestDifferenceOfUnlikeThingsIsNotTold(t *testing.T) {
	p, _ := worked(t)
	fact := func(n int64, of check.Type) *audit.Fact {
		return &audit.Fact{Value: check.Num(quantity.Int(n)), Type: of}
	}
	for _, c := range []struct {
		old, now *audit.Fact
		want     string
	}{
		{fact(10, check.LengthType()), fact(30, check.LengthType()), "+508 mm"},
		{fact(30, check.MoneyType()), fact(10, check.MoneyType()), "-£20.00"},
		{fact(10, check.LengthType()), fact(30, check.MoneyType()), ""},
		{fact(10, check.LengthType()), nil, ""},
		{nil, fact(10, check.LengthType()), ""},
	} {
		if got := shownOr(maker{p}.difference(audit.Change{Old: c.old, New: c.now})); got != c.want {
			t.Errorf("the difference is %q, want %q", got, c.want)
		}
	}
}

func TestCauseSaysOnlyWhatChanged(t *testing.T) {
	for _, test := range []struct {
		c    Cause
		want string
	}{
		{Cause{Label: "rule hem", Before: "rule hem: length = 2 in because \"a \\\"wide\\\" hem\"", After: "rule hem: length =\n  3 in", At: At{"a.squab", 3, 1}}, "rule hem: 2 in → 3 in (a.squab:3)"},
		{Cause{Label: "rule seam, case 1", Before: "5/8 in when c.stuff is vinyl", After: "3/4 in when c.stuff is vinyl"}, "rule seam, case 1: 5/8 in when c.stuff is vinyl → 3/4 in when c.stuff is vinyl"},
		{Cause{Label: "rule hem", After: "rule hem: length = 2 in source \"a\""}, "rule hem, put in: rule hem: length = 2 in"},
		{Cause{Label: "rule hem", Before: "rule hem: length = 2 in"}, "rule hem, taken out: rule hem: length = 2 in"},
		{Cause{Label: "pad, ask wide", Before: "ask wide: length from 1 in to 3 in = 2 in", After: "ask wide: length from 1 in to 4 in = 2 in"},
			"pad, ask wide: ask wide: length from 1 in to 3 in = 2 in → ask wide: length from 1 in to 4 in = 2 in"},
	} {
		if diff := cmp.Diff(test.want, test.c.String()); diff != "" {
			t.Error(diff)
		}
	}
}

func FuzzReadResults(f *testing.F) {
	good := saved("a", "91/2", "10")
	for _, seed := range []string{good, good[:len(good)/2], strings.Replace(good, `"91/2"`, `"1e9"`, 1), `{"schema":1,"orders":[],"refused":[]}`,
		`{"schema":1,"orders":[{"cells":{"a":[]},"given":["a","b"],"price":{"":{}}},{}],"refused":[{},{}]}`, `[`, `null`} {
		f.Add([]byte(seed))
	}
	other, err := ReadResults([]byte(good))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := ReadResults(data)
		if err != nil {
			return
		}
		if c, err := CompareResults(r, r); err == nil && len(c.Changes) > 0 {
			t.Errorf("a result differs from itself: %v", c.Changes)
		}
		if c, err := CompareResults(other, r); err == nil {
			Comparison(c)
			Line(c)
		}
	})
}
