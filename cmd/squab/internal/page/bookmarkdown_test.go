package page

import (
	"strings"
	"testing"
)

// Every rule, layer and caution of the book stands in its Markdown, an amendment above what it replaces.
func TestBookMarkdownSaysAll(t *testing.T) {
	p := fixtureBook(t)
	var b strings.Builder
	if err := WriteBookMarkdown(&b, p, "abc"); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, r := range p.Rules {
		if !strings.Contains(text, "(`"+r.Name+"`)") {
			t.Errorf("the rule %s is missing", r.Name)
		}
	}
	for _, c := range p.Cautions {
		if !strings.Contains(text, "**"+markdownText(words(c.Name))+"**") {
			t.Errorf("the caution %s is missing", c.Name)
		}
	}
	page := bookOf(p, "abc")
	for _, r := range page.Changed {
		_, from, _ := strings.Cut(text, "(`"+r.Name+"`)")
		house, trade := strings.Index(from, "**house**"), strings.Index(from, "**trade**")
		if house < 0 || trade >= 0 && trade < house {
			t.Errorf("%s: the house's amendment does not stand above what it replaces", r.Name)
		}
	}
}

const smallBook = `shop "Heron Quay Workroom" {
  currency = USD
}
choice stuff = woven, vinyl
kind cloth: roll {
  usable: length = 53 in
  stuff:  stuff = woven
  price:  money per length
  sold:   length = 1 yd
}
rule seam(c: cloth, less: length = 1/8 in): length {
  half = 1/4 in                    because "half of it"
  5/8 in        when c.stuff is vinyl   because "needle holes"
  2 * half - 0 * less   otherwise       source "the seam handbook"
}
amend seam(c, less) from 2026-03-01 until 2026-09-01 {
  3/8 in        when c.stuff is vinyl   because "bulk | at the welt"
}
table thread(thick: length from 1 in to 12 in): length {
  thick       | gives | because
  up to 3 in  | 9 in  | "short"
  over 3 in   | 15 in |
}
rule overhead_share: number = 18%
rule labour_rate: money per time   because "the house gives it"
caution blades "Cut away from the hand."  because "they are sharp"
price {
  share           = 2 * overhead_share   because "twice"
  charge material = bought
  charge extra    = $5   when material > $10   because "a fee"
}
`

// A small book as Markdown, to the letter.
func TestBookMarkdown(t *testing.T) {
	var b strings.Builder
	if err := WriteBookMarkdown(&b, parseBook(t, "small.squab", smallBook), "feed"); err != nil {
		t.Fatal(err)
	}
	golden(t, "small.md", b.String())
}

func TestMarkdownTextStaysText(t *testing.T) {
	for from, want := range map[string]string{
		"a | b":        `a \| b`,
		"<script>":     "&lt;script&gt;",
		"**bold** _x_": `\*\*bold\*\* \_x\_`,
		"# head\nnext": `\# head next`,
		"[a](b)":       `\[a](b)`,
	} {
		if got := markdownText(from); got != want {
			t.Errorf("%q is written %q, want %q", from, got, want)
		}
	}
	if got := code("a`b | c"); got != "`a'b \\| c`" {
		t.Errorf("code is %q", got)
	}
}
