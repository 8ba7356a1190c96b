package bench

import (
	"fmt"
	"strings"
	"testing"

	"squab/cmd/squab/internal/page/chromiumtest"
)

// TestBenchInBrowser tries the page as a maker does. One browser serves all; each part has a bench of its own.
func TestBenchInBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is slow")
	}
	p := &tab{Browser: chromiumtest.Launch(t)}
	for _, tt := range []struct {
		name string
		try  func(*testing.T, *tab)
	}{
		{"a change is seen at once and kept when asked", changeAndKeep},
		{"what is usual", usual},
		{"what cannot be made", cannotBeMade},
		{"every number opens", everyNumberOpens},
		{"two pages", twoPages},
		{"what is typed while something is kept", typedMeanwhile},
		{"the files are watched", watched},
		{"a newer value", newerValue},
		{"a new order", newOrder},
		{"rules that never held", neverHeld},
		{"by the keyboard", byKeys},
		{"at every width", everyWidth},
		{"a name stays text", namesStayText},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p.TB = t
			defer p.Forget()
			defer p.Open("about:blank") // before its bench is closed
			tt.try(t, p)
			p.quiet()
		})
	}
	p.TB = t
}

// tab is a page of the bench in a browser.
type tab struct{ *chromiumtest.Browser }

// quiet reports what the page complained of, but for being left with changes that nobody made by hand.
func (p *tab) quiet() {
	p.TB.Helper()
	for _, entry := range p.Log() {
		if !strings.Contains(entry, "'beforeunload'") {
			p.TB.Errorf("the console says %s", entry)
		}
	}
}

// opens opens a bench, and waits for its numbers.
func (p *tab) opens(b *bench, more string) {
	p.TB.Helper()
	p.Open(b.Address(b.host) + more)
	p.settled()
}

// settled waits until the sheet shows what the page asked for last.
func (p *tab) settled() {
	p.TB.Helper()
	p.Until(`document.getElementById('sheet').getAttribute('aria-busy') === 'false' && !document.getElementById('said').textContent.includes('improv')`)
}

// types puts a text into a field, as if it were typed.
func (p *tab) types(name, text string) {
	p.TB.Helper()
	p.Ask(fmt.Sprintf(`(() => { const f = %s; f.focus(); f.value = %q; f.dispatchEvent(new Event('input', {bubbles: true})) })()`, field(name), text), nil)
	p.settled()
}

func (p *tab) clicks(element string) {
	p.TB.Helper()
	p.Ask(element+`.click()`, nil)
}

// keeps clicks the button that keeps, and waits until all is kept.
func (p *tab) keeps() {
	p.TB.Helper()
	p.clicks(byID("keep"))
	p.Until(byID("keep") + `.disabled && ` + byID("back") + `.disabled`)
	p.settled()
}

// holds waits for all of some scripts to hold.
func (p *tab) holds(scripts ...string) {
	p.TB.Helper()
	for _, s := range scripts {
		p.Until(s)
	}
}

func byID(id string) string      { return `document.getElementById('` + id + `')` }
func field(name string) string   { return `document.querySelector('[data-name="` + name + `"]')` }
func why(name string) string     { return `document.querySelector('[data-why="` + name + `"]')` }
func summary(name string) string { return why(name) + `.querySelector('summary')` }
func isShown(id string) string   { return `!` + byID(id) + `.hidden` }
func isHidden(id string) string  { return byID(id) + `.hidden` }
func shows(name, as string) string {
	return why(name) + `?.querySelector('summary data')?.textContent === '` + as + `'`
}
func says(id, part string) string { return byID(id) + `.textContent.includes('` + part + `')` }
func note(name, as string) string {
	return field(name) + `.closest('.ask').querySelector('.note').textContent === '` + as + `'`
}

func changeAndKeep(t *testing.T, p *tab) {
	b := open(t)
	p.Wide(1280, 900, false)
	p.opens(b, "")
	p.holds(shows("top.wide", "31 in"), says("said", "As kept"))
	p.clicks(summary("top.wide"))
	p.types("wide", "33 in")
	p.holds(shows("top.wide", "34 in"), why("top.wide")+`.classList.contains('changed')`, why("top.wide")+`.open`,
		why("top.wide")+`.querySelector('.was').textContent === 'was 31 in'`,
		`!`+why("top.deep")+`.classList.contains('changed')`,
		`[...document.querySelectorAll('svg a.changed')].map(a => a.textContent).join() === '16 1/2,mid 17,34'`, // in the drawing
		says("said", "differ from what is kept"))
	p.Keep("bench-laptop")
	b.holds("orders.squab", "!33 in")
	p.keeps()
	p.holds(says("said", "As kept"), `document.querySelectorAll('#sheet .changed').length === 0`)
	b.holds("orders.squab", "wide  = 33 in  # measured twice")
	p.types("order title", "Bay")
	p.types("off", "2")
	p.types("date", "2026-04-01")
	p.holds(`document.querySelector('#sheet h1').textContent === 'Order 7: Bay'`, shows("off", "2"), says("total", "was $"))
	p.keeps()
	b.holds("orders.squab", `order 7 "Bay" {`, "make seat_pad, 2 off", "date  = 2026-04-01", "# measured twice")
	p.holds(`document.getElementById('pick').selectedOptions[0].textContent === 'Order 7: Bay'`)
}

func usual(t *testing.T, p *tab) {
	b := open(t)
	b.replace("orders.squab", "  cover = harbour_tweed\n", "  cover = harbour_tweed\n  straps = 4  # as asked for\n")
	b.eventually("the bench has seen it", func() bool { return strings.Contains(b.says().Fields, `data-kept="4"`) })
	p.opens(b, "")
	button := field("straps") + `.closest('.ask').querySelector('.usual')`
	p.holds(`!`+button+`.hidden`, field("tied")+`.closest('.ask').querySelector('.usual').hidden`)
	p.clicks(button)
	p.holds(field("straps")+`.value === '2'`, button+`.hidden`, shows("straps", "2"))
	p.keeps()
	b.holds("orders.squab", "!straps", "# as asked for")
	p.types("straps", "3")
	p.types("straps", "")
	p.holds(shows("straps", "2"), byID("keep")+`.disabled`)
	p.types("straps", "3")
	p.types("straps", "2") // typed, and no more than what is usual
	p.holds(byID("keep")+`.disabled`, `!`+field("straps")+`.closest('.ask').classList.contains('dirty')`)
	p.types("straps", "")
	p.clicks(field("deep")) // leaving the field
	p.Ask(field("deep")+`.focus()`, nil)
	p.holds(field("straps") + `.value === '2'`)
}

func cannotBeMade(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.types("wide", "90 in")
	p.holds(isShown("wrong"), says("problems", "wide must lie"), isShown("old"), byID("sheet")+`.classList.contains('old')`, shows("top.wide", "31 in"))
	p.Keep("bench-problem")
	p.clicks(byID("keep"))
	p.holds(says("said", "Not kept"))
	b.holds("orders.squab", "!90 in")
	p.Forget() // what is refused is told of on the console too
	p.types("wide", "")
	p.holds(says("problems", "left empty"))
	p.clicks(byID("back"))
	p.holds(isHidden("wrong"), `!`+byID("sheet")+`.classList.contains('old')`, field("wide")+`.value === '30 in'`)
	p.settled()
}

// Two pages of one browser change the same order.
func twoPages(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.types("wide", "33 in")
	p.types("off", "2")
	turn := p.Tab()
	p.opens(b, "")
	p.types("wide", "36 in")
	p.types("deep", "22 in")
	p.keeps()
	turn()
	p.holds(note("wide", "the file now says 36 in"), note("off", ""), field("wide")+`.value === '33 in'`, field("deep")+`.value === '22 in'`, shows("top.deep", "23 in"))
	p.types("wide", "32 in") // typing on does not make it known
	p.types("wide", "33 in")
	p.holds(note("wide", "the file now says 36 in"))
	p.clicks(byID("keep"))
	p.holds(isShown("clash"), says("clash", "wide was changed meanwhile, to 36 in. Here it is 33 in."), `document.activeElement.textContent === 'Take 36 in'`)
	p.Keep("bench-clash")
	b.holds("orders.squab", "= 36 in", "= 22 in", "!33 in", "!2 off\n  date  = 2026-03-02")
	for _, entry := range p.Log() {
		if !strings.Contains(entry, "409") { // a refused request is told of on the console too
			t.Errorf("the console says %s", entry)
		}
	}
	p.Forget()
	p.clicks(`[...document.querySelectorAll('#clash button')].find(b => b.textContent === 'Stay with 33 in')`)
	p.holds(isHidden("clash"), note("wide", ""))
	p.keeps()
	b.holds("orders.squab", "= 33 in", "= 22 in", "seat_pad, 2 off\n  date  = 2026-03-02")
	turn()
	p.holds(field("wide")+`.value === '33 in'`, field("off")+`.value === '2'`, shows("top.wide", "34 in"))
	p.Call("Page.close", nil, nil)
	turn()
}

// What is typed while something else is being kept is still to be kept, and is no clash with what was.
func typedMeanwhile(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.Ask(`(() => { const fetch = window.fetch; window.fetch = async (...a) => {
		if (a[0] === '/keep') await new Promise((go) => { window.release = go });
		return fetch(...a);
	} })()`, nil)
	p.types("wide", "33 in")
	p.clicks(byID("keep"))
	p.holds(`window.release`, byID("keep")+`.disabled`)
	p.types("wide", "34 in")
	p.Ask(`release(); window.release = null`, nil)
	b.eventually("the first is kept", func() bool { return strings.Contains(b.read("orders.squab"), "= 33 in") })
	p.holds(field("wide")+`.value === '34 in'`, `!`+byID("keep")+`.disabled`, note("wide", ""))
	p.settled()
	p.clicks(byID("keep"))
	p.holds(`window.release`)
	p.Ask(`release()`, nil)
	p.holds(byID("keep")+`.disabled`, byID("back")+`.disabled`, isHidden("clash"))
	b.holds("orders.squab", "= 34 in")
	p.settled()
}

func watched(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.types("deep", "21 in")
	b.replace("orders.squab", "30 in", "38 in")
	p.holds(shows("top.wide", "39 in"), field("wide")+`.value === '38 in'`, field("deep")+`.value === '21 in'`, `document.activeElement === `+field("deep"))
	p.holds(`!` + byID("keep") + `.disabled`)
	b.replace("orders.squab", "deep  = 20 in", "deep  = 21 in") // an editor writes what is wished here
	p.holds(byID("keep")+`.disabled`, `!`+field("deep")+`.closest('.ask').classList.contains('dirty')`)
	house := b.read("house.squab")
	b.write("house.squab", house+"\nrule broken: length = 1 lb\n")
	p.holds(isShown("wrong"), says("problems", "broken"), isShown("old"), shows("top.wide", "39 in"))
	p.Open(b.Address(b.host)) // anew: the last good numbers are still known
	p.holds(isShown("wrong"), isShown("old"), shows("top.wide", "39 in"), field("wide")+`.value === '38 in'`)
	p.Keep("bench-old")
	b.write("house.squab", strings.Replace(house, "  ask tied:   yes/no = no\n", "  ask piped:  yes/no = no\n  ask tied:   yes/no = no\n", 1))
	p.holds(isHidden("wrong"), field("piped")+`?.value === 'no'`, `!`+byID("sheet")+`.classList.contains('old')`)
	b.replace("orders.squab", "15 in", "15 lb")
	p.holds(isShown("elsewhere"), says("elsewhere", "15 lb"), isHidden("wrong"))
	b.replace("orders.squab", "15 lb", "15 in")
	p.holds(isHidden("elsewhere"))
	p.settled()
}

// A newer value ends the layout that is being improved, and what is told of is the newer.
func newerValue(t *testing.T, p *tab) {
	b := openWith(t, 1<<50, "house.squab", jig(t))
	p.Open(b.Address(b.host))
	p.holds(says("under", "over the least possible"), shows("p0.wide", "7 in"))
	for i := range 3 {
		p.Ask(fmt.Sprintf(`(() => { const f = %s; f.value = '%d/8 in'; f.dispatchEvent(new Event('input', {bubbles: true})) })()`, field("more"), i+1), nil)
		p.holds(shows("p0.wide", fmt.Sprintf("7 %s in", []string{"1/8", "1/4", "3/8"}[i])), says("said", "being improved"))
	}
	b.eventually("only the newest is worked on", func() bool { return b.trying.Load() == 1 })
	p.Open("about:blank")
	b.eventually("nothing is worked on once the page is left", func() bool { return b.trying.Load() == 0 })
}

func newOrder(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.clicks(`document.querySelector('#form details.pick summary')`)
	p.Ask(`(() => { const f = document.getElementById('new'); f.value = 'seat_pad'; f.dispatchEvent(new Event('change', {bubbles: true})) })()`, nil)
	p.holds(`document.body?.dataset.recipe === 'seat_pad'`, byID("id")+`?.value === '9'`, says("into", "orders.squab"), says("said", "Still to give: wide, deep, cover."), isHidden("wrong"), byID("keep")+`.disabled`)
	p.settled()
	p.Keep("bench-new")
	p.types("order title", "Stoop")
	p.clicks(byID("back"))
	p.holds(field("order title") + `.value === ''`)
	p.types("order title", "Porch")
	p.types("wide", "20 in")
	p.types("deep", "18 in")
	p.holds(says("said", "Still to give: cover."))
	p.Ask(`(() => { const f = `+field("cover")+`; f.value = 'quay_velvet'; f.dispatchEvent(new Event('input', {bubbles: true})) })()`, nil)
	p.holds(shows("top.wide", "21 in"), isHidden("wrong"), says("said", "Not in the file yet"))
	b.holds("orders.squab", "!Porch")
	p.clicks(byID("keep"))
	p.holds(`document.body?.dataset.order === '9' && document.body.dataset.recipe === ''`, `document.querySelector('#sheet h1')?.textContent === 'Order 9: Porch'`)
	b.holds("orders.squab", "order 9 \"Porch\" {\n  make seat_pad\n  date  = 2026-04-02\n  wide  = 20 in\n  deep  = 18 in\n  cover = quay_velvet\n}")
	p.settled()
}

// A house with a mistake from the start shows the mistake, and its numbers once it is mended.
func neverHeld(t *testing.T, p *tab) {
	house := readFile(t, "testdata/house.squab")
	b := openWith(t, 100, "house.squab", house+"\nrule broken: length = 1 lb\n", "orders.squab", readFile(t, "testdata/orders.squab"))
	p.opens(b, "")
	p.holds(isShown("wrong"), says("problems", "broken"), isHidden("old"), byID("sheet")+`.textContent === ''`)
	b.write("house.squab", house)
	p.holds(isHidden("wrong"), shows("top.wide", "31 in"), field("wide")+`.value === '30 in'`)
	p.settled()
}

// Every number of the sheet opens to how it came about, and stays open, and in focus, when the sheet changes.
func everyNumberOpens(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	var closed []string
	p.Ask(`[...document.querySelectorAll('#sheet data')].filter(d => !d.closest('details')).map(d => d.textContent + ' in ' + d.closest('section, header, dl').textContent.slice(0, 30))`, &closed)
	if len(closed) > 0 {
		t.Errorf("numbers do not open: %q", closed)
	}
	var names, all int
	p.Ask(`document.querySelectorAll('#sheet details.num').length`, &all)
	p.Ask(`[...document.querySelectorAll('#sheet details.num')].filter(d => { d.open = true; return d.querySelector('.why').getClientRects().length > 0 }).length`, &names)
	if all < 30 || names != all {
		t.Errorf("%d of %d numbers open", names, all)
	}
	p.Ask(`document.querySelectorAll('#sheet details').forEach(d => { d.open = false })`, nil)
	p.clicks(`document.querySelector('#sheet .boxes input')`)
	inner := why("buy.harbour_tweed") + `.querySelector('.from details')`
	p.Ask(why("buy.harbour_tweed")+`.open = true; `+inner+`.open = true; `+inner+`.querySelector('summary').focus()`, nil)
	p.Ask(`(() => { const f = `+field("wide")+`; f.value = '34 in'; f.dispatchEvent(new Event('input', {bubbles: true})) })()`, nil)
	p.holds(shows("top.wide", "35 in"), why("buy.harbour_tweed")+`.open`, inner+`.open`, `document.activeElement === `+inner+`.querySelector('summary')`, `document.querySelectorAll('#sheet details[open]').length === 2`,
		`document.querySelector('#sheet .boxes input').checked && document.querySelectorAll('#sheet input:checked').length === 1`) // what is cut stays ticked
	p.Ask(`document.querySelectorAll('#sheet details').forEach(d => { d.open = false })`, nil)
	p.Ask(`[...document.querySelectorAll('svg a')].find(a => a.textContent === '17').dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}))`, nil)
	p.holds(`document.querySelectorAll('#sheet details[open]').length === 1`, why("middles[1].x")+`.open`, `document.activeElement === `+summary("middles[1].x"))
	p.clicks(byID("total"))
	p.holds(why("price.total")+`.open`, `document.activeElement === `+summary("price.total"))
	p.settled()
}

func byKeys(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.Ask(field("tied")+`.focus()`, nil)
	p.Key("y", "KeyY", 89, "y")
	p.holds(field("tied") + `.value === 'yes'`)
	p.settled()
	for range 30 {
		p.Key("Tab", "Tab", 9, "")
		var at string
		if p.Ask(`document.activeElement.id`, &at); at == "keep" {
			break
		}
	}
	p.holds(`document.activeElement.id === 'keep'`)
	p.Key(" ", "Space", 32, " ")
	p.holds(byID("keep") + `.disabled && ` + byID("back") + `.disabled`)
	b.holds("orders.squab", "tied  = yes")
	p.settled()
	p.Ask(summary("top.wide")+`.focus()`, nil)
	p.Key("Enter", "Enter", 13, "\r")
	p.holds(why("top.wide") + `.open`)
	var nameless []string
	p.Ask(`[...document.querySelectorAll('input, select, button')].filter(f => !f.hidden && !(f.labels?.length || f.getAttribute('aria-label') || f.textContent.trim())).map(f => f.outerHTML)`, &nameless)
	if len(nameless) > 0 {
		t.Errorf("what has no name for who cannot see it: %q", nameless)
	}
	var loose []string
	p.Ask(`[...document.querySelectorAll('[aria-describedby]')].flatMap(f => f.getAttribute('aria-describedby').split(' ')).filter(i => !document.getElementById(i))`, &loose)
	if len(loose) > 0 {
		t.Errorf("fields are described by what is not there: %q", loose)
	}
}

func everyWidth(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "")
	p.types("wide", "31 in")
	for _, screen := range []struct {
		name       string
		wide, high int
		phone      bool
	}{{"phone", 360, 740, true}, {"tablet", 820, 1100, true}, {"narrow", 1030, 700, false}, {"laptop", 1280, 800, false}} {
		p.Wide(screen.wide, screen.high, screen.phone)
		p.Keep("bench-" + screen.name)
		p.Ask(`document.querySelectorAll('#sheet .num').forEach(d => { d.open = true })`, nil)
		var past []string
		p.Ask(`[...document.querySelectorAll('body *')].filter(e => !e.closest('svg, figure, .scrolls, .unseen, pre') && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.tagName + ' ' + e.className + ': ' + e.textContent.slice(0, 40))`, &past)
		if len(past) > 0 {
			t.Errorf("%s: %d elements run off the page: %.400q", screen.name, len(past), past)
		}
		p.Ask(`document.querySelectorAll('#sheet .num').forEach(d => { d.open = false })`, nil)
	}
}

func namesStayText(t *testing.T, p *tab) {
	b := open(t)
	p.opens(b, "&order=8")
	label := "<img src=x onerror=alert(1)> \"{wide}\" `"
	p.types("label", label)
	p.holds(fmt.Sprintf(`document.querySelector('.steps').textContent.includes(%q)`, label))
	var heading string
	p.Ask(`document.querySelector('#sheet h1').textContent`, &heading)
	if heading != "Order 8: Stair </script>" {
		t.Errorf("the heading is %s", heading)
	}
	p.keeps()
	p.holds(fmt.Sprintf(field("label")+`.value === %q && `+field("order title")+`.value === 'Stair </script>'`, label))
	var counts []int
	p.Ask(`['i', 'img', 'script'].map(n => document.getElementsByTagName(n).length)`, &counts)
	if fmt.Sprint(counts) != "[0 0 1]" {
		t.Errorf("italics, pictures and scripts: %v", counts)
	}
}
