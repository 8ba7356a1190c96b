package bench

import (
	"path/filepath"
	"strings"
	"testing"

	"squab/cmd/squab/internal/page/chromiumtest"
)

// typeInto puts a text into the field of an ask, as if it were typed.
func typeInto(b *chromiumtest.Browser, ask, text string) {
	b.Ask(`(() => { const f = document.querySelector('[data-ask="`+ask+`"]'); f.focus(); f.value = `+"`"+text+"`"+`; f.dispatchEvent(new Event('input', {bubbles: true})) })()`, nil)
}

// settled waits until the sheet shows what the page asked for last.
func settled(b *chromiumtest.Browser) {
	b.Until(`document.querySelector('#sheet article') && document.getElementById('sheet').getAttribute('aria-busy') === 'false' && !document.getElementById('said').textContent.includes('improv')`)
}

const shownWide = `document.querySelector('[data-why="top.wide"] > summary data').textContent === `

func TestBenchInBrowser(t *testing.T) {
	b := chromiumtest.Launch(t)
	for _, tt := range []struct {
		name string
		try  func(*testing.T, *chromiumtest.Browser)
	}{
		{"a change is seen at once and kept when asked", changeAndKeep},
		{"what cannot be made", cannotBeMade},
		{"two pages", twoPages},
		{"the files are watched", watched},
		{"on a phone and by the keyboard", phoneAndKeys},
		{"a name stays text", namesStayText},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.TB = t
			tt.try(t, b)
			b.Quiet(tt.name)
			b.Open("about:blank") // before its bench is closed
			b.Forget()
		})
	}
	b.TB = t
}

func changeAndKeep(t *testing.T, b *chromiumtest.Browser) {
	s, folder, host := open(t)
	b.Wide(1280, 900, false)
	b.Open(s.Address(host))
	settled(b)
	b.Until(shownWide + `'31 in'`)
	b.Ask(`document.querySelector('[data-why="top.wide"] > summary').click()`, nil)
	typeInto(b, "wide", "33 in")
	b.Until(shownWide + `'34 in'`)
	settled(b)
	b.Until(`document.querySelector('[data-why="top.wide"]').classList.contains('changed')`)
	b.Until(`document.querySelector('[data-why="top.wide"]').open`)
	b.Until(`document.querySelector('[data-why="top.wide"] .was').textContent === 'was 31 in'`)
	b.Until(`!document.querySelector('[data-why="top.deep"]').classList.contains('changed')`)
	b.Keep("bench-laptop")
	if strings.Contains(readFile(t, filepath.Join(folder, "orders.squab")), "33 in") {
		t.Error("a change is in the file before it was asked to be kept")
	}
	b.Ask(`document.getElementById('keep').click()`, nil)
	b.Until(`document.getElementById('said').textContent.startsWith('Kept') || document.getElementById('said').textContent.startsWith('As kept')`)
	settled(b)
	b.Until(`document.querySelectorAll('#sheet .changed').length === 0`)
	if file := readFile(t, filepath.Join(folder, "orders.squab")); !strings.Contains(file, "wide  = 33 in  # measured twice") {
		t.Errorf("the file holds\n%s", file)
	}
}

func cannotBeMade(t *testing.T, b *chromiumtest.Browser) {
	s, _, host := open(t)
	b.Open(s.Address(host))
	settled(b)
	typeInto(b, "wide", "90 in")
	b.Until(`!document.getElementById('problems').hidden && document.getElementById('problems').textContent.includes('wide must lie')`)
	b.Until(`document.getElementById('sheet').classList.contains('old')`)
	b.Keep("bench-problem")
	typeInto(b, "wide", "")
	b.Until(`document.getElementById('problems').textContent.includes('left empty')`)
	b.Ask(`document.getElementById('back').click()`, nil)
	b.Until(`document.getElementById('problems').hidden && ` + shownWide + `'31 in'`)
	settled(b)
}

// The second page is the test itself, which keeps a change while the browser has another of the same.
func twoPages(t *testing.T, b *chromiumtest.Browser) {
	s, folder, host := open(t)
	b.Open(s.Address(host))
	settled(b)
	typeInto(b, "wide", "33 in")
	settled(b)
	if status, text := keepOne(t, s, host, "wide", "30 in", "36 in"); status != 200 {
		t.Fatal(text)
	}
	b.Until(`document.querySelector('[data-ask="wide"]').closest('.ask').querySelector('.note').textContent === 'the file now says 36 in'`)
	settled(b)
	b.Ask(`document.getElementById('keep').click()`, nil)
	b.Until(`!document.getElementById('clash').hidden`)
	b.Keep("bench-clash")
	if file := readFile(t, filepath.Join(folder, "orders.squab")); !strings.Contains(file, "36 in") {
		t.Errorf("the other page's change is lost:\n%s", file)
	}
	b.Ask(`[...document.querySelectorAll('#clash button')].find(b => b.textContent === 'Stay with 33 in').click()`, nil)
	settled(b)
	b.Ask(`document.getElementById('keep').click()`, nil)
	b.Until(`document.getElementById('keep').disabled`)
	if file := readFile(t, filepath.Join(folder, "orders.squab")); !strings.Contains(file, "= 33 in") {
		t.Errorf("the change that was stayed with is not kept:\n%s", file)
	}
	settled(b)
	for i := range b.Log() {
		if !strings.Contains(b.Log()[i], "409") {
			t.Errorf("the console says %s", b.Log()[i])
		}
	}
	b.Forget() // a refused request is told of on the console too
}

func watched(t *testing.T, b *chromiumtest.Browser) {
	s, folder, host := open(t)
	b.Open(s.Address(host))
	settled(b)
	path := filepath.Join(folder, "orders.squab")
	typeInto(b, "deep", "21 in")
	settled(b)
	write(t, path, strings.Replace(readFile(t, path), "30 in", "38 in", 1))
	b.Until(shownWide + `'39 in'`)
	b.Until(`document.querySelector('[data-ask="wide"]').value === '38 in' && document.querySelector('[data-ask="deep"]').value === '21 in'`)
	settled(b)
	house := filepath.Join(folder, "house.squab")
	write(t, house, readFile(t, house)+"\nrule broken: length = 1 lb\n")
	b.Until(`!document.getElementById('problems').hidden`)
	write(t, house, strings.Replace(readFile(t, house), "rule broken: length = 1 lb", "", 1))
	b.Until(`document.getElementById('problems').hidden`)
	settled(b)
}

func phoneAndKeys(t *testing.T, b *chromiumtest.Browser) {
	s, _, host := open(t)
	b.Wide(375, 800, true)
	b.Open(s.Address(host))
	settled(b)
	var wide []int
	b.Ask(`[document.documentElement.scrollWidth, document.documentElement.clientWidth]`, &wide)
	if wide[0] > wide[1] {
		t.Errorf("the page is %d wide on a screen of %d", wide[0], wide[1])
	}
	b.Keep("bench-phone")
	var unnamed int
	b.Ask(`[...document.querySelectorAll('#asks input, #asks select')].filter(f => f.labels.length === 0).length`, &unnamed)
	if unnamed > 0 {
		t.Errorf("%d fields have no label", unnamed)
	}
	b.Ask(`document.querySelector('[data-ask="tied"]').focus()`, nil)
	b.Key("y", "KeyY", 89, "y")
	b.Until(`document.querySelector('[data-ask="tied"]').value === 'yes'`)
	settled(b)
	b.Wide(1280, 900, false)
}

func namesStayText(t *testing.T, b *chromiumtest.Browser) {
	s, _, host := open(t)
	b.Open(s.Address(host) + "&order=8")
	settled(b)
	var heading string
	b.Ask(`document.querySelector('#sheet h1').textContent`, &heading)
	if heading != "Order 8: Stair </script>" {
		t.Errorf("the heading is %s", heading)
	}
	var italic, scripts int
	b.Ask(`document.querySelectorAll('i').length`, &italic)
	b.Ask(`document.scripts.length`, &scripts)
	if italic != 0 || scripts != 1 {
		t.Errorf("%d italics and %d scripts", italic, scripts)
	}
}
