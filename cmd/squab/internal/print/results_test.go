package print

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
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

func TestAmountsAreShownInTheirUnits(t *testing.T) {
	for _, test := range []struct{ exact, within, unit, want string }{
		{"5/64", "", "in", "+5/64 in"},
		{"-3", "", "mm", "-3 mm"},
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
