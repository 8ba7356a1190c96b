package page

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/page/chromiumtest"
	"squab/eval"
)

// screens are the widths at which pages must read well.
var screens = []struct {
	name       string
	wide, high int
	phone      bool
}{{"phone", 360, 800, true}, {"laptop", 1280, 800, false}}

// tooWide lists what lies beyond the right edge of the window, apart from what scrolls by itself.
const tooWide = `(() => {
  const edge = document.documentElement.clientWidth + 1, out = [];
  for (const e of document.querySelectorAll('main *')) {
    if (e.closest('figure, .scrolls, .unseen')) continue;
    const r = e.getBoundingClientRect();
    if (r.width > 0 && r.right > edge) out.push(e.tagName + '.' + e.className + ' ' + e.textContent.slice(0, 40) + ' ' + r.right);
  }
  return out;
})()`

// scrollsForNothing lists the boxes that scroll by so little that nothing is hidden: a bar under a table that needs none.
const scrollsForNothing = `[...document.querySelectorAll('.scrolls, figure')]
  .filter(e => e.scrollWidth > e.clientWidth && e.scrollWidth < e.clientWidth + 4)
  .map(e => e.tagName + '.' + e.className + ' ' + e.textContent.slice(0, 40))`

// cutOff lists what lies beyond the right edge of a sheet of paper, where nothing scrolls.
const cutOff = `(() => {
  const edge = document.documentElement.clientWidth + 1, out = [];
  for (const e of document.querySelectorAll('main *')) {
    if (e.closest('.unseen')) continue;
    const r = e.getBoundingClientRect();
    if (r.width > 0 && r.right > edge) out.push(e.tagName + ' ' + e.textContent.slice(0, 40) + ' ' + r.right);
  }
  return out;
})()`

// onPaper reports what would be cut off on the narrower of the sheets, A4 with the margins of the page's style.
func onPaper(t *testing.T, b *chromiumtest.Browser, what string) {
	t.Helper()
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": "print"}, nil)
	b.Wide(695, 1000, false) // 210 mm less twice 13 mm
	var found []string
	b.Ask(cutOff, &found)
	none(t, what+" on paper: cut off", found)
	b.Call("Emulation.setEmulatedMedia", map[string]string{"media": ""}, nil)
}

// overlaps lists the pairs of texts of one drawing whose ink meets.
const overlaps = `(() => {
  const out = [];
  for (const svg of document.querySelectorAll('svg.drawing')) {
    const texts = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
    const frame = svg.getBoundingClientRect();
    for (let i = 0; i < texts.length; i++) {
      const [a, r] = texts[i];
      if (r.left < frame.left - 1 || r.right > frame.right + 1 || r.top < frame.top - 1 || r.bottom > frame.bottom + 1) out.push(a + ' is cut off');
      for (let j = i + 1; j < texts.length; j++) {
        const [b, s] = texts[j];
        if (r.left + 1 < s.right && s.left + 1 < r.right && r.top + 2 < s.bottom && s.top + 2 < r.bottom) out.push(a + ' meets ' + b);
      }
    }
  }
  return out;
})()`

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// pagesOf counts the pages of a PDF.
func pagesOf(pdf []byte) int { return len(pdfPage.FindAll(pdf, -1)) }

func none(t *testing.T, what string, found []string) {
	t.Helper()
	if len(found) > 0 {
		t.Errorf("%s: %s", what, strings.Join(found[:min(len(found), 12)], "; "))
	}
}

// readsWell tries a page at every width: nothing lies beyond the edge, and in drawings no text meets another.
func readsWell(t *testing.T, b *chromiumtest.Browser, name string) {
	t.Helper()
	for _, s := range screens {
		b.Wide(s.wide, s.high, s.phone)
		var found []string
		b.Ask(tooWide, &found)
		none(t, name+" on a "+s.name+": beyond the edge", found)
		b.Ask(overlaps, &found)
		none(t, name+" on a "+s.name+": in drawings", found)
		b.Keep(name + "-" + s.name)
	}
}

// TestInBrowser tries the pages in one headless Chromium.
func TestInBrowser(t *testing.T) {
	b := chromiumtest.Launch(t)
	for _, tt := range []struct {
		name string
		try  func(*testing.T, *chromiumtest.Browser)
	}{
		{"Ticket in browser", ticketInBrowser},
		{"Ticket one order prints short", ticketOneOrderPrintsShort},
		{"Ticket derivations open", ticketDerivationsOpen},
		{"Ticket drawing leads to derivation", ticketDrawingLeadsToDerivation},
		{"Ticket hostile names in browser", ticketHostileNamesInBrowser},
		{"Ticket for screen readers", ticketForScreenReaders},
		{"Papers", papersInBrowser},
		{"Odd names", oddNamesInBrowser},
		{"Template", templateInBrowser},
		{"Book", bookInBrowser},
		{"Example", exampleInBrowser},
		{"Comparison", comparisonInBrowser},
		{"Random sizes", randomSizesInBrowser},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.TB = t
			tt.try(t, b)
		})
	}
	b.TB = t
}

func ticketInBrowser(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)...))
	readsWell(t, b, "ticket")
	onPaper(t, b, "tickets")
	b.Quiet("ticket")
	for _, p := range chromiumtest.Papers() {
		b.Wide(1280, 800, false)
		if n := pagesOf(b.Printed("ticket", p)); n < 6 || n > 16 {
			t.Errorf("three tickets print on %d sheets of %s", n, p.Name)
		}
	}
}

// randomSizes are lids of sizes that leave marks close to each other, to the edge and to the middle.
func randomSizes(t *testing.T, n int) []*eval.Result {
	t.Helper()
	r := rand.New(rand.NewPCG(6, 28))
	text := strings.Split(readText(t, "workroom.squab"), "\norder 1042")[0]
	for i := range n {
		across, rows := 2+r.IntN(23), 2+r.IntN(7)
		wide, deep := 160+r.IntN(1000), 128+r.IntN(500) // sixteenths
		text += fmt.Sprintf("order %d {\n make buttoned_lid\n cover = quay_velvet\n across = %d\n rows = %d\n wide = %d/16 in\n deep = %d/16 in\n end_inset = %d/16 in\n side_inset = %d/16 in\n}\n",
			i+1, across, rows, wide, deep, r.IntN(wide/2), r.IntN(deep/2))
	}
	return workedOrders(t, parseBook(t, "random.squab", text))
}

func randomSizesInBrowser(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, randomSizes(t, 6)...))
	readsWell(t, b, "random")
	onPaper(t, b, "random sizes")
	b.Quiet("random sizes")
}

func ticketOneOrderPrintsShort(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)[0]))
	for _, p := range chromiumtest.Papers() {
		if n := pagesOf(b.Printed("ticket-one", p)); n < 2 || n > 4 {
			t.Errorf("a ticket prints on %d sheets of %s", n, p.Name)
		}
	}
}

func ticketDerivationsOpen(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)[0]))
	b.Wide(1280, 800, false)
	var shut int
	b.Ask(`[...document.querySelectorAll('details.num')].filter(d => d.querySelector('.why').checkVisibility({contentVisibilityAuto: true})).length`, &shut)
	if shut != 0 {
		t.Errorf("%d derivations are open to begin with", shut)
	}
	b.Ask(`(() => { window.it = [...document.querySelectorAll('.cut details.num')].find(d => d.textContent.startsWith('59 in')); it.querySelector('summary').focus() })()`, nil)
	b.Key("Enter", "Enter", 13, "\r")
	b.Until(`it.open`)
	var text string
	b.Ask(`it.querySelector('.why').innerText.replace(/\s+/g, ' ')`, &text)
	for _, part := range []string{"skin.wide = 59 in", "wide + 2 * drop + (across + 1) * tuft_share", "drop = 4 1/4 in"} {
		if !strings.Contains(text, part) {
			t.Errorf("the derivation of the cover's width does not say %q: %s", part, text)
		}
	}
	var place []float64
	b.Ask(`(() => { const r = it.querySelector('.why').getBoundingClientRect(), t = it.closest('table').getBoundingClientRect(); return [r.width, t.width] })()`, &place)
	if place[0] < 600 {
		t.Errorf("a derivation opens only %v wide in a table %v wide", place[0], place[1])
	}
	b.Keep("ticket-open")
	b.Quiet("open derivations")
}

// A number in a drawing leads to its derivation, which opens by being gone to, without a script.
func ticketDrawingLeadsToDerivation(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)[0]))
	b.Ask(`document.querySelector('svg.drawing a').focus()`, nil)
	b.Key("Enter", "Enter", 13, "\r")
	b.Until(`document.querySelector(location.hash || 'x-none')`)
	b.Until(`document.querySelector(location.hash).closest('details').open`)
	b.Quiet("links in drawings")
}

func ticketHostileNamesInBrowser(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)[2]))
	var scripts, bold int
	b.Ask(`document.scripts.length`, &scripts)
	b.Ask(`[...document.querySelectorAll('b')].filter(b => b.textContent.includes('moss') || b.textContent.includes("tack strip")).length`, &bold)
	if scripts != 0 || bold != 0 {
		t.Errorf("%d scripts and %d bold texts came out of names", scripts, bold)
	}
	var title string
	b.Ask(`document.querySelector('h1').textContent`, &title)
	if want := `Order 1044 <script>alert(1)</script>: =cmd & "quotes" </title>`; title != want {
		t.Errorf("the heading is %s, want %s", title, want)
	}
}

// What a screen reader is told: tables keep their roles though they are laid out as grids, and every box and drawing has a name.
func ticketForScreenReaders(t *testing.T, b *chromiumtest.Browser) {
	b.OpenText(ticketsOf(t, workroom(t)[0]))
	b.Call("Accessibility.enable", nil, nil)
	var tree struct {
		Nodes []struct {
			Ignored bool
			Role    struct{ Value string }
			Name    struct{ Value string }
		}
	}
	b.Call("Accessibility.getFullAXTree", nil, &tree)
	count := map[string]int{}
	for _, n := range tree.Nodes {
		if n.Ignored {
			continue
		}
		count[n.Role.Value]++
		if (n.Role.Value == "checkbox" || n.Role.Value == "DisclosureTriangle" || n.Role.Value == "link") && strings.TrimSpace(n.Name.Value) == "" {
			t.Errorf("a %s has no name", n.Role.Value)
		}
	}
	var want struct{ Tables, Rows, Boxes int }
	b.Ask(`({Tables: document.querySelectorAll('table').length, Rows: document.querySelectorAll('tr').length, Boxes: document.querySelectorAll('input').length})`, &want)
	got := want
	got.Tables, got.Rows, got.Boxes = count["table"], count["row"], count["checkbox"]
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the reader's tree (-page +tree): %s", fmt.Sprint(diff))
	}
}

// backwards lists the numbers whose first figure does not stand left of their last, where they are on one line.
const backwards = `[...document.querySelectorAll('data, text')].filter(d => d.checkVisibility() && /^~?[$\d]/.test(d.textContent)).filter(d => {
  const walk = document.createTreeWalker(d, NodeFilter.SHOW_TEXT), text = walk.nextNode(), range = document.createRange();
  const at = (i) => { range.setStart(text, i); range.setEnd(text, i + 1); return range.getBoundingClientRect(); };
  const a = at(0), z = at(text.length - 1);
  return a.top === z.top && a.left > z.left;
}).map(d => d.textContent + ' in ' + d.closest('div, td, p, svg').textContent.slice(0, 60))`

// Names that are long, or that are written from the right, leave every number in its place and readable.
func oddNamesInBrowser(t *testing.T, b *chromiumtest.Browser) {
	for what, name := range map[string]string{"one long word": strings.Repeat("W", 1500), "many words": strings.Repeat("tweed ", 300), "from the right": "ספסל 7 1/2", "turned by force": "\u202ebench 7 1/2"} {
		results := workroom(t)[:2]
		pages := pagesNamed(t, results, name)
		for _, kind := range []string{"tickets", "quotation", "buying", "book"} {
			b.OpenText(pages[kind])
			for _, s := range screens {
				b.Wide(s.wide, s.high, s.phone)
				var found []string
				b.Ask(tooWide, &found)
				none(t, kind+" of "+what+" on a "+s.name+": beyond the edge", found)
				b.Ask(backwards, &found)
				none(t, kind+" of "+what+" on a "+s.name+": backwards", found)
			}
		}
	}
}
