package plain

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"squab/eval/orders"
	"squab/lang/diag"
)

// TestWrongFlagsAreNamed gives a material what it cannot have: the error names the flag, and what is wrong with it.
func TestWrongFlagsAreNamed(t *testing.T) {
	sizes := func(all ...string) [lists][]string { return [lists][]string{Sizes: all} }
	for _, c := range []struct {
		flags Job
		want  string
	}{
		{Job{}, "--wide: wide is not given"},
		{Job{Form: "sheet", Given: settings("wide=4 ft")}, "--deep: deep is not given"},
		{Job{Form: "stick"}, "--long: long is not given"},
		{Job{Given: settings("wide=4 ft, kerf=1/8 in")}, "a roll has no --kerf"},
		{Job{Form: "sheet", Given: settings("wide=4 ft, deep=4 ft, repeat_along=1 in")}, "a sheet has no --repeat-along"},
		{Job{Form: "sheet", Given: settings("wide=4 ft"), Lists: sizes("wide=4 ft, deep=8 ft")}, "with --size a sheet has no --wide"},
		{Job{Form: "stick", Given: settings("long=4 ft"), Lists: sizes("long=4 ft")}, "with --size a stick has no --long"},
		{Job{Form: "stick", Lists: sizes("long=4 ft, deep=4 ft")}, "--size: a size of stick has no deep"},
		{Job{Form: "stick", Lists: sizes("price=$4")}, "--size: long is not given"},
		{Job{Form: "stick", Lists: sizes("")}, "--size: long is not given"},
		{Job{Form: "stick", Lists: sizes("long=4 ft, only=1/2")}, "--size: only "},
		{Job{Form: "stick", Given: settings("long=4 ft"), Lists: [lists][]string{Flaws: {"y=1 in"}}}, "a stick has no --flaw"},
		{Job{Form: "roll", Given: settings("wide=4 ft"), Lists: sizes("wide=4 ft")}, "a roll has no --size"},
		{Job{Given: settings("wide=4 kg")}, "--wide: wide must be a length"},
		{Job{Given: settings("wide=4 ft, gap=2 yd")}, "--gap: gap must lie"},
		{Job{Given: settings("name=\"\", wide=4 ft")}, "a material has no name"},
	} {
		_, err := settled(t, c.flags).Read(strings.NewReader("name,wide,deep\na,1 in,1 in\n"), "pieces")
		if !IsMisuse(err) || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.flags.Given, err, c.want)
		}
	}
	for _, j := range []Job{{Form: "bolt"}, {Currency: "FLO"}, {Shows: "often"}, {Shows: "0 in"}} {
		if j.Currency == "" {
			j.Currency = "USD"
		}
		if j.Shows == "" {
			j.Shows = "1 mm"
		}
		if err := j.Settle(); err == nil {
			t.Errorf("%+v is taken", j)
		}
	}
}

// TestPricesAreInTheirCurrency lays a shelf on a sheet with a price in each currency there is.
func TestPricesAreInTheirCurrency(t *testing.T) {
	for currency, sign := range map[string]string{"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "GBP": "£", "EUR": "€"} {
		shown := sign
		if sign == "$" && currency != "USD" {
			shown = currency + " " // the sign alone would not say whose dollars
		}
		j := settled(t, Job{Form: "sheet", Currency: currency, Lists: [lists][]string{Sizes: {"wide=4 ft, deep=8 ft, price=" + sign + "1064.50", "wide=4 ft, deep=9 ft, price=" + sign + "2000"}}})
		read(t, j, "name,wide,deep\nshelf,20 in,30 in\n")
		l := lay(t, j)[0]
		if got := j.Program().Style.Show(l.Goal.Came, l.Goal.Type.ShownDim()).Text; got != shown+"1,064.50" {
			t.Errorf("in %s the sheet costs %s", currency, got)
		}
	}
}

// TestListsMayBeNothing reads files whose lists are null, and one that has nothing to lay but bias strips.
func TestListsMayBeNothing(t *testing.T) {
	for text, want := range map[string]int{
		`{"pieces": null}`:                  0,
		`{"pieces": [], "materials": null}`: 0,
		`{"materials": [{"form": "roll", "wide": "54 in", "bias": [{"wide": "2 in", "long": "90 in"}], "flaws": null}], "pieces": null}`: 1,
	} {
		j := settled(t, roll54())
		if strings.Contains(text, "[{") {
			j = settled(t, Job{})
		}
		read(t, j, text)
		if j.Pieces() != want {
			t.Errorf("%s holds %d pieces", text, j.Pieces())
		}
	}
}

// TestPlacesAreFoundInAnyOrder asks for the places of bytes of a text at random, and counts lines and letters by itself.
func TestPlacesAreFoundInAnyOrder(t *testing.T) {
	text := strings.Repeat("plate 4 1/2\"\n\né幅 zip\r\n", 40) + "end"
	f := &jsonFile{name: "job.json", text: text}
	r := rand.New(rand.NewPCG(8, 8))
	for range 2000 {
		at := r.IntN(len(text) + 5)
		for at < len(text) && !utf8.RuneStart(text[at]) {
			at--
		}
		before := text[:min(at, len(text))]
		line := before[strings.LastIndexByte(before, '\n')+1:]
		want := diag.Place{File: "job.json", Line: 1 + strings.Count(before, "\n"), Column: 1 + utf8.RuneCountInString(line)}
		if got := f.place(at); got != want {
			t.Fatalf("byte %d lies at %v, want %v", at, got, want)
		}
	}
}

// TestSettingsArePartedByCommas takes a comma without a name behind it for part of the value before.
func TestSettingsArePartedByCommas(t *testing.T) {
	for text, want := range map[string][]orders.Setting{
		"":                            nil,
		"  ":                          nil,
		"wide=4 ft":                   {{Name: "wide", Text: "4 ft"}},
		" wide = 4 ft ,deep=8 ft":     {{Name: "wide", Text: "4 ft"}, {Name: "deep", Text: "8 ft"}},
		"name=ply, birch, wide=48 in": {{Name: "name", Text: "ply, birch"}, {Name: "wide", Text: "48 in"}},
		"48 in":                       {{Name: "48 in"}},
	} {
		if diff := cmp.Diff(want, settings(text)); diff != "" {
			t.Errorf("%q (-want +got):\n%s", text, diff)
		}
	}
}
