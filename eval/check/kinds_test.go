package check_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// What a formula of a recipe comes to, by the kinds of what it is made of.
func TestKindsOfFormulas(t *testing.T) {
	const asks = `recipe pad {
  ask run: length
  ask n: count
  ask share: number
  ask spell: time
  ask pace: time per each
  ask cover: cloth
  ask turn: angle
`
	for _, test := range []struct{ formula, kind string }{
		{"run + 3 in", "length"},
		{"run * run", "area"},
		{"run * run * run", "volume"},
		{"run / run", "number"},
		{"run / n", "length"},
		{"n", "count"},
		{"n + 1", "count"},
		{"n / 2", "number"},
		{"n / 2 rounded up to 1", "count"},
		{"n * share", "number"},
		{"run / 3 in rounded down to 1", "count"},
		{"pace", "time per each"},
		{"pace * n", "time"},
		{"pace * 2.5", "time per each"},
		{"spell * n", "time"},
		{"6 dozen", "count"},
		{"6 each per ft * run", "number"},
		{"6 each per ft * run * $0.02 per each", "money"},
		{"$3 per yd * run", "money"},
		{"$3 / run", "money per length"},
		{"cover.price", "money per length"},
		{"cover.stuff", "stuff"},
		{"cover", "cloth"},
		{"sqrt(run * run)", "length"},
		{"sin(turn)", "number"},
		{"atan(share)", "angle"},
		{"15%", "number"},
		{"run by 3 in", "size"},
		{"run at 3 in", "point"},
		{"(run by 3 in).deep", "length"},
		{"[run, 3 in]", "list of length"},
		{"for each i from 1 to n: i", "list of count"},
		{"sum(for each i from 1 to n: i * run)", "length"},
		{"run > 3 in and n = 2", "yes/no"},
		{`"{run} wide"`, "text"},
		{"date", "date"},
		{"if n > 2 then run else 3 in", "length"},
		{"max(n, 2)", "count"},
		{"run mod 2 in", "length"},
		{"run per each", "length per each"},
		{"spell / n", "time"},
	} {
		files, problems := &diag.Files{}, &diag.List{}
		p := checkOver(t, files.Add("house.squab", asks+"  x = "+test.formula+"\n}\n", diag.House), files, problems)
		if all := problems.All(); len(all) > 0 {
			t.Errorf("%s: %s", test.formula, all[0].Message)
			continue
		}
		if got := p.Recipe("pad").Cell("x").Type.String(); got != test.kind {
			t.Errorf("%s is %s, want %s", test.formula, got, test.kind)
		}
	}
}

// A slip of a letter or two finds its word; what is far from every word finds none.
func TestNearest(t *testing.T) {
	known := []string{"cover", "deep", "edge", "seam", "turn_under", "wide"}
	for _, test := range []struct{ name, want string }{
		{"wid", "wide"}, {"wdie", "wide"}, {"deap", "deep"}, {"turnunder", "turn_under"}, {"turn_undre", "turn_under"}, {"seem", "seam"},
		{"colour_of_the_room", ""}, {"straps", ""}, {"", ""},
	} {
		if got := check.Nearest(test.name, known); got != test.want {
			t.Errorf("nearest to %q is %q, want %q", test.name, got, test.want)
		}
	}
}

// What is wrong in one order spoils neither the others nor the book.
func TestBlame(t *testing.T) {
	const book = `recipe pad {
  ask wide: length from 1 in to 9 in
}
order 1 {
  make pad
  wide = 3 in
}
order 2 {
  make pad
  wide = 30 in
}
order 3 {
  make pad
  wide = 3 in
  amend turn_under = 3 min
}
order 4 {
  make pad
  wide = 3 in +
}
order 5 {
  make pad
  wide = 3 in
}
`
	bad := func(text string) (got []string, sound bool) {
		files, problems := &diag.Files{}, &diag.List{}
		p := checkOver(t, files.Add("house.squab", text, diag.House), files, problems)
		for _, o := range p.Orders {
			if o.Bad {
				got = append(got, o.ID)
			}
		}
		return got, p.Sound
	}
	got, sound := bad(book)
	if diff := cmp.Diff([]string{"2", "3", "4"}, got); diff != "" || !sound {
		t.Errorf("the book is sound: %v; bad orders (-want +got):\n%s", sound, diff)
	}
	if _, sound := bad(book + "rule lip: length = 3 min\n"); sound {
		t.Error("a book with a wrong rule is called sound")
	}
}

// Values from elsewhere are checked like an order's own, by several hands at once.
func TestCheckValue(t *testing.T) {
	files, problems := &diag.Files{}, &diag.List{}
	p := checkOver(t, files.Add("house.squab", "recipe pad {\n ask wide: length from 1 in to 9 in\n ask n: count\n}\n", diag.House), files, problems)
	asks := p.Recipe("pad").Asks
	var hands sync.WaitGroup
	for _, test := range []struct {
		ask        int
		text, code string
	}{
		{0, "3 in", ""}, {0, "turn_under", ""}, {0, "sum(for each i from 1 to 3: i * 1 in)", ""}, {0, "30 in", "ask-outside"}, {0, "-3 in", "ask-outside"},
		{0, "3 min", "unit-mismatch"}, {0, "nosuch", "name-unknown"}, {1, "2", ""}, {1, "5/2", "count-not-whole"}, {1, "1/0", "number-malformed"},
	} {
		hands.Go(func() {
			for range 50 {
				var found diag.List
				tree := lang.ParseFormula(&diag.Source{Text: test.text, Base: 1 << 30}, &found)
				p.CheckValue(asks[test.ask], tree, &found)
				if got := codesOf(found.All()); got != "["+test.code+"]" {
					t.Errorf("%q for %s: %s, want %s", test.text, asks[test.ask].Name, got, test.code)
				}
			}
		})
	}
	hands.Wait()
}

func codesOf(all []diag.Diagnostic) string {
	var codes []string
	for _, d := range all {
		codes = append(codes, d.Code)
	}
	return fmt.Sprint(codes)
}

// Of two amendments the higher layer lies over, then the later from; one holds from its first day until, not with, its last.
func TestWindows(t *testing.T) {
	dated := func(layer diag.Layer, from, until int64) check.Window {
		return check.Window{Layer: layer, From: from, HasFrom: from > 0, Until: until, HasUntil: until > 0}
	}
	for _, test := range []struct {
		name        string
		over, under check.Window
	}{
		{"the order over the house", dated(diag.Order, 0, 0), dated(diag.House, 90, 0)},
		{"the house over the trade", dated(diag.House, 0, 0), dated(diag.Trade, 90, 0)},
		{"the later over the earlier", dated(diag.House, 20, 0), dated(diag.House, 10, 0)},
		{"the dated over the undated", dated(diag.House, 1, 0), dated(diag.House, 0, 0)},
	} {
		if !test.over.Beats(test.under) || test.under.Beats(test.over) || test.over.Beats(test.over) {
			t.Errorf("%s: does not hold", test.name)
		}
	}
	w := dated(diag.House, 10, 20)
	for day := range int64(30) {
		if want := day >= 10 && day < 20; w.Holds(day, nil) != want {
			t.Errorf("from 10 until 20 holds on %d: %v, want %v", day, !want, want)
		}
	}
}
