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
