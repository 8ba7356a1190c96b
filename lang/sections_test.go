package lang

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func outlineOf(t *testing.T, text string) *Outline {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	o := NewOutline(files.Add("outline", text, diag.House), Limits{}, &problems)
	if problems.Len() > 0 {
		t.Fatal(problems.All())
	}
	return o
}

func TestDeclaredNames(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{`rule seam(edge: length): length = 1/2 in`, "seam"},
		{`amend seam from 2026-01-01 = 3/8 in`, "seam"},
		{`amend kind cloth { dye: text = "" }`, "cloth"},
		{`amend table weights { | 1 in | 2 lb | }`, "weights"},
		{`choice stuff "What it is of" = woven, velvet`, "stuff woven velvet"},
		{`amend choice stuff = leather`, "stuff leather"},
		{`rule étoffe(bord: length): length = bord`, "étoffe"},
		{"stray", ""},
		{`material navy: cloth "Navy" { price = $9 per yd }`, "navy"},
		{`recipe pad "A pad" { ask wide: length }`, "pad"},
		{`caution blades "Cut away from the hand"`, "blades"},
		{`unit gross = 144 each`, ""},
		{`shop "A shop" { day = 8 h }`, ""},
		{`order 12 "A pad" { make pad }`, ""},
		{`proof "A pad" { expect seam(1 in) = 1/2 in }`, ""},
		{`price { total = material }`, ""},
	} {
		o := outlineOf(t, test.text)
		if o.Len() != 1 {
			t.Fatalf("%s: %d declarations", test.text, o.Len())
		}
		if got := strings.Join(o.Declared(0), " "); got != test.want {
			t.Errorf("%s declares %q, not %q", test.text, got, test.want)
		}
	}
}

func TestWordsOfADeclaration(t *testing.T) {
	o := outlineOf(t, "rule turn(b: board): length = seam(b.étoffe) # as a rule\n"+
		"recipe pad {\n  step \"Cut {how(wide)} and {sew}.\"\n}\n\nunit hand = 4 in\n")
	var got []string
	for i := range o.Len() {
		var words []string
		o.Words(i, func(w string) { words = append(words, w) })
		got = append(got, strings.Join(words, " "))
	}
	want := []string{"rule turn b board length seam b étoffe", "recipe pad step how wide sew", "unit hand in"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestOnlyWhatIsWantedIsParsed(t *testing.T) {
	text := "rule a: length = 1 in\nrule b: length = = 2 in\nrule c: length = 3 in\n"
	for _, test := range []struct {
		without, problems int
		want              string
	}{
		{1, 0, "a c"},
		{2, 1, "a b"},
		{-1, 1, "a b c"},
	} {
		var problems diag.List
		f := outlineOf(t, text).Parse(func(i int) bool { return i != test.without }, &problems)
		var got []string
		for _, d := range f.Decls {
			got = append(got, d.(*RuleDecl).Name.Text)
		}
		if strings.Join(got, " ") != test.want || len(problems.All()) != test.problems {
			t.Errorf("without %d: %v, %d problems", test.without, got, len(problems.All()))
		}
	}
}
