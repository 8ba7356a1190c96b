package page

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/page/chromiumtest"

	"squab/cmd/squab/internal/load"
	"squab/eval/check"
	"squab/stdlib"
)

func bookBuilderOf(p *check.Program) *bookBuilder {
	b := &bookBuilder{program: p, reach: reachOf(p), known: map[string]bool{}}
	for _, r := range p.Rules {
		b.known[r.Name] = true
	}
	return b
}

func fixtureBook(t testing.TB) *check.Program {
	return parseBook(t, "workroom.squab", readText(t, "workroom.squab"))
}

func bookPageOf(t testing.TB, p *check.Program) string {
	return made(t, func(w io.Writer) error { return WriteBook(w, p, "feed") })
}

// said writes a rule as its page reads.
func said(r bookRule) []string {
	var lines []string
	for _, body := range r.Bodies {
		lines = append(lines, strings.TrimSpace(strings.Join([]string{body.Who, body.When, "over", body.Replaces}, " ")))
		for _, c := range body.Cases {
			line := strings.Join(c.Tests, " ; ") + " " + plain(c.Value)
			if c.When != nil {
				line += " when " + plain(c.When)
			}
			if c.Otherwise {
				line += " otherwise"
			}
			lines = append(lines, strings.TrimSpace(line+" because "+c.Because))
		}
	}
	return lines
}

func plain(parts []linked) string {
	text := ""
	for _, p := range parts {
		text += p.Text
	}
	return text
}

func TestBookRules(t *testing.T) {
	p := fixtureBook(t)
	b := bookBuilderOf(p)
	tests := []struct {
		rule string
		want []string
	}{
		{"turn_under", []string{
			"house from 2026-03-01 over house", "1 3/4 in because the new stapler needs it",
			"house  over", "1 1/2 in because room for pliers and a double row of staples; common practice, no source",
		}},
		{"seam", []string{
			"house from 2026-03-01 until 2026-09-01 over house", "3/8 in when c.stuff is velvet because bulk at the welt; agreed after the spring snag list",
			"house  over", "5/8 in when c.stuff is vinyl because needle holes weaken vinyl near an edge", "1/2 in otherwise because the usual seam; from memory",
		}},
		{"button_thread", []string{
			"house  over",
			"up to 1 in 9 in because short, but long enough to tie",
			"over 1 in up to 3 in 15 in because through foam and board with a hand's length to pull",
			"over 3 in 24 in because",
		}},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, said(b.rule(p.Rule(tt.rule)))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.rule, diff)
		}
	}
}

// What one order amends is that order's own business: the book does not tell of it.
func TestBookLeavesOutWhatOneOrderAmends(t *testing.T) {
	text := readText(t, "workroom.squab")
	orders := `
order 9 {
  make strapped_pad
  wide = 20 in
  deep = 20 in
  cover = harbour_tweed
  amend labour_rate = $90 per h                because "by night"
}
`
	plain, amended := bookOf(parseBook(t, "workroom.squab", text), ""), bookOf(parseBook(t, "workroom.squab", text+orders), "")
	if diff := cmp.Diff(plain, amended); diff != "" {
		t.Errorf("an order changed the book (-plain +amended):\n%s", diff)
	}
	var changed []string
	for _, r := range amended.Changed {
		changed = append(changed, r.Name)
	}
	if diff := cmp.Diff([]string{"turn_under", "seam"}, changed); diff != "" {
		t.Errorf("what the house amends (-want +got):\n%s", diff)
	}
}

func TestBookMaterialsAndPrice(t *testing.T) {
	page := bookOf(fixtureBook(t), "")
	var got []string
	for _, k := range page.Materials {
		for _, m := range k.Materials {
			for _, f := range m.Fields {
				got = append(got, strings.TrimSpace(fmt.Sprintf("%s, %s: %s = %s %s", k.Name, m.Name, f.Name, plain(f.Value), f.When)))
			}
		}
	}
	want := []string{
		"cloth, harbour_tweed: price = $41.50 per yd from 2026-03-01", "cloth, harbour_tweed: price = $38 per yd",
		"cloth, quay_velvet: stuff = velvet", "cloth, quay_velvet: nap = yes", "cloth, quay_velvet: price = $62 per yd", "wadding, soft_wadding: price = $4.20 per yd",
		"foam, firm_foam: thick = 2 in", "foam, firm_foam: price = $118 per each", "board, birch_board: thick = 1/2 in", "board, birch_board: price = $64 per each",
		"thread, waxed_thread: price = $0.08 per yd", "button, small_button: price = $0.65 per each",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("materials (-want +got):\n%s", diff)
	}
	var lines []string
	for _, l := range bookOf(parseBook(t, "small.squab", smallBook), "").Price {
		lines = append(lines, strings.TrimSpace(fmt.Sprintf("charge %v %s = %s %s", l.IsCharge, l.Name, plain(l.Value), plain(l.When))))
	}
	if diff := cmp.Diff([]string{"charge false share = 2 * overhead_share", "charge true material = bought", "charge true extra = $5 material > $10"}, lines); diff != "" {
		t.Errorf("the price (-want +got):\n%s", diff)
	}
}

func TestBookReach(t *testing.T) {
	p := parseBook(t, "reach.squab", `
shop "Heron Quay Workroom" {
  currency = USD
}

kind cloth: roll {
  usable: length = 2 * inner
  price:  money per length
  sold:   length = 1 yd
}

rule inner: length = 20 in
rule middle: length = 2 * inner
rule outer: length = middle + 1 in
rule alone: length = 1 in
rule dearer: money per length = $2 per yd
material tweed: cloth "Tweed" {
  price = $1 per yd
}
amend material tweed from 2026-03-01 {
  price = dearer
}
rule labour_rate: money per time = $50 per h

recipe part_of_it {
  ask wide: length
  deep = outer
}

recipe whole_of_it {
  part left = part_of_it {
    wide = middle
  }
}
`)
	tests := map[string]reachWords{
		"inner":  {Rules: []string{"middle"}, Recipes: []reached{{"part of it", "recipe-part_of_it", true}, {"whole of it", "recipe-whole_of_it", true}}, Fields: []string{"cloth"}},
		"middle": {Rules: []string{"outer"}, Recipes: []reached{{"part of it", "recipe-part_of_it", true}, {"whole of it", "recipe-whole_of_it", false}}},
		"outer":  {Recipes: []reached{{"part of it", "recipe-part_of_it", false}, {"whole of it", "recipe-whole_of_it", true}}},
		"dearer": {Fields: []string{"Tweed"}},
		"alone":  {},
	}
	reach := reachOf(p)
	for name, want := range tests {
		if diff := cmp.Diff(want, reach.words(p.Rule(name))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

func TestLinked(t *testing.T) {
	b := &bookBuilder{known: map[string]bool{"seam": true, "turn_under": true}}
	text := "2 * seam(c) + pad.seam + seam_two - turn_under"
	p := parseBook(t, "linked.squab", "rule x: length = 1 in\n")
	src := p.Files.Add("formula", text, 0)
	b.program = p
	var got []string
	for _, part := range b.linked(spanOf(src.Base, len(text))) {
		got = append(got, part.Text+"|"+part.Rule)
	}
	want := []string{"2 * |", "seam|rule-seam", "(c) + pad.seam + seam_two - |", "turn_under|rule-turn_under"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("parts (-want +got):\n%s", diff)
	}
}

// The whole trade library makes a book: every rule stands in it once, and every link leads somewhere.
func TestBookOfTheTrade(t *testing.T) {
	book, err := load.Open(nil, load.Options{Library: stdlib.AddTo})
	if err != nil {
		t.Fatal(err)
	}
	page := bookPageOf(t, book.Program)
	for _, r := range book.Program.Rules {
		if n := strings.Count(page, fmt.Sprintf(`id="rule-%s"`, r.Name)); n != 1 {
			t.Errorf("%s stands %d times in the book", r.Name, n)
		}
	}
	known := map[string]bool{}
	for _, m := range ids.FindAllStringSubmatch(page, -1) {
		known[m[1]] = true
	}
	for _, m := range links.FindAllStringSubmatch(page, -1) {
		if !known[m[1]] {
			t.Errorf("a link leads to %s, which is nowhere", m[1])
		}
	}
	if len(book.Program.Rules) < 50 {
		t.Errorf("only %d rules in the trade library", len(book.Program.Rules))
	}
}

// Steps and cautions are told in their own words, with what is filled in as it is written.
func TestBookTellsTexts(t *testing.T) {
	p := parseBook(t, "texts.squab", `
recipe pad {
  ask wide: length
  step "Say \"go\""
  step "Cut {wide + 1 in} of \{cloth}, \\ and \"lay\""
  step "{wide}"
}
caution tools "Mind \"the\" {1 + 1} blades"
`)
	page := bookOf(p, "feed")
	got := append(page.Recipes[0].Steps, page.Cautions[0].Text)
	want := []string{`Say "go"`, `Cut {wide + 1 in} of {cloth}, \ and "lay"`, `{wide}`, `Mind "the" {1 + 1} blades`}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("steps and cautions (-want +got):\n%s", diff)
	}
}

const hostileBook = `shop "</title><script>alert(1)</script>" {
  currency = USD
}

rule trap: length = 1 in because "</script><script>alert(2)</script> & 'x' \" onmouseover=alert(3) x=\""
caution shout "<img src=x onerror=alert(4)>"
`

func TestBookHostileTextStaysText(t *testing.T) {
	page := bookPageOf(t, parseBook(t, "hostile.squab", hostileBook))
	if n := strings.Count(page, "<script"); n != 1 {
		t.Errorf("%d scripts, want the page's own", n)
	}
	for _, bad := range []string{"<img", `" onmouseover=`, "</script><script>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
}

func bookInBrowser(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(bookPageOf(t, fixtureBook(t)))
	readsWell(t, b, "book")
	shown := func() (names []string) {
		b.Ask(`[...document.querySelectorAll('article.rule:not([hidden])')].filter(a => a.checkVisibility()).map(a => a.id)`, &names)
		return names
	}
	all := len(shown())
	b.Ask(`document.body.focus()`, nil)
	b.Key("/", "Slash", 191, "/")
	b.Until(`document.activeElement.id === 'find'`)
	for _, r := range "stapler needs" {
		b.Key(string(r), "", 0, string(r))
	}
	b.Until(`document.getElementById('found').textContent.startsWith('2 found')`) // under what the house amends, and in its chapter
	if diff := cmp.Diff([]string{"rule-turn_under"}, shown()); diff != "" {
		t.Errorf("found (-want +got):\n%s", diff)
	}
	b.Key("Escape", "Escape", 27, "")
	b.Until(`document.getElementById('found').textContent === ''`)
	if got := len(shown()); got != all {
		t.Errorf("%d rules after the search is cleared, %d before it", got, all)
	}
	b.Ask(`document.querySelector('.formula a').click()`, nil)
	b.Until(`document.querySelector(':target')`)
	onPaper(t, b, "book")
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": "print"}, nil)
	b.Until(`[...document.querySelectorAll('.recipe details')].every(d => !d.open && d.offsetHeight > 100 && d.lastElementChild.checkVisibility({contentVisibilityAuto: true}))`)
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": ""}, nil)
	b.Quiet("book")
	for _, p := range chromiumtest.Papers() {
		if n := pagesOf(b.Printed("book", p)); n < 2 || n > 9 {
			t.Errorf("the fixture's book prints on %d sheets of %s", n, p.Name)
		}
	}
	b.OpenText(bookPageOf(t, parseBook(t, "hostile.squab", hostileBook)))
	var images int
	b.Ask(`document.images.length`, &images)
	if images != 0 {
		t.Errorf("%d images came out of texts", images)
	}
	b.Quiet("hostile book")
}

func TestBookTellsTolerances(t *testing.T) {
	p := parseBook(t, "out.squab", `
kind slab: sheet {
  thick: length tolerance 1/16 in
  wide:  length tolerance +1/4 in -0 in
  deep:  length
  price: money per each
}
material firm: slab {
  thick = 3 in
  wide  = 24 in tolerance 0.5%
  deep  = 82 in
  price = $78 per each
}
recipe pad {
  ask wide: length = 20 in tolerance +1/8 in -1/16 in
  ask deep: length
}
`)
	b := bookBuilderOf(p)
	var got []string
	for _, f := range b.material(p.Material("firm")).Fields {
		got = append(got, f.Name+": "+f.Tolerance)
	}
	for _, ask := range b.recipe(p.Recipe("pad")).Asks {
		got = append(got, ask.Name+": "+ask.Tolerance)
	}
	want := []string{"thick: 1/16 in", "wide: 0.5%", "deep: ", "price: ", "wide: +1/8 in -1/16 in", "deep: "}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-stated +told):\n%s", diff)
	}
	page := bookPageOf(t, p)
	for _, said := range []string{`tolerance 0.5%`, `tolerance <span class="formula">&#43;1/8 in -1/16 in</span>`} {
		if !strings.Contains(page, said) {
			t.Errorf("the page does not say %s", said)
		}
	}
}
