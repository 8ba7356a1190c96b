package bench

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/cmd/squab/internal/page"
)

// fieldsOf says each field of order 7: what it says, what is usual, its range, and the words to choose from.
func (b *bench) fieldsOf(id string) map[string]string {
	st := b.now().state
	all := map[string]string{}
	for _, f := range b.fields(st, st.order(id)) {
		text := fmt.Sprintf("%q", f.Text)
		if f.IsGiven {
			text += " given"
		}
		if f.Usual != nil {
			text += fmt.Sprintf(", usual %q", *f.Usual)
		}
		if f.Range != "" {
			text += ", " + f.Range
		}
		all[f.Name] = text + wordsOf(f.Options)
	}
	return all
}

func wordsOf(options []page.BenchOption) string {
	var words []string
	for _, o := range options {
		words = append(words, o.Value)
	}
	if len(words) == 0 {
		return ""
	}
	return ": " + strings.Join(words, ", ")
}

// A field offers what may be chosen: the cloths that the house has for a cloth, and no thread; what the file says already, though it be a formula, and
// what is usual.
func TestFields(t *testing.T) {
	b := open(t)
	b.replace("house.squab", "  ask tied:   yes/no = no\n", "  ask tied:   yes/no = straps > 4\n  ask kind_of: stuff = velvet\n  ask backing: cloth = quay_velvet\n")
	b.replace("orders.squab", "  cover = harbour_tweed\n}", "  cover = if wide > 40 in then quay_velvet else harbour_tweed\n  backing = harbour_tweed\n  tied = yes\n}")
	b.renew()
	cloths := "harbour_tweed, quay_velvet"
	var stuffs []string
	for _, r := range b.now().book.Program.Choices {
		if r.Name == "stuff" {
			stuffs = r.Words
		}
	}
	want := map[string]string{
		titleName: `"Window" given, usual ""`, offName: `"1", usual "1"`, dateName: `"2026-03-02" given, usual "2026-04-02"`,
		"wide": `"30 in" given, from 10 in to 50 in`, "deep": `"20 in" given, from 8 in to 40 in`, "straps": `"2", usual "2", from 0 to 6`, "label": `"seat", usual "seat"`,
		"cover":   `"if wide > 40 in then quay_velvet else harbour_tweed" given: if wide > 40 in then quay_velvet else harbour_tweed, ` + cloths,
		"backing": `"harbour_tweed" given, usual "quay_velvet": ` + cloths,
		"tied":    `"yes" given, usual "straps > 4": straps > 4, yes, no`,
		"kind_of": `"velvet", usual "velvet": ` + strings.Join(stuffs, ", "),
	}
	if diff := cmp.Diff(want, b.fieldsOf("7")); diff != "" {
		t.Errorf("fields (-want +got):\n%s", diff)
	}
}

// A new order's number is the one after the greatest, in whatever order they stand; what is no number, or none that anybody writes, does not count.
func TestFreeID(t *testing.T) {
	for want, ids := range map[string][]string{"1": nil, "13": {"3", "12", "7"}, "9": {"8", `"bay"`, `"007"`}, "6": {"99999999999999999999", "5", "4294967296"}} {
		b := openWith(t, 100, "house.squab", readFile(t, "testdata/house.squab"))
		text := ""
		for _, id := range ids {
			text += "order " + id + " {\n  make seat_pad\n  wide = 20 in\n  deep = 20 in\n  cover = quay_velvet\n}\n"
		}
		b.write("orders.squab", text)
		b.renew()
		if got := b.now().freeID(); got != want {
			t.Errorf("after %v comes %s, want %s", ids, got, want)
		}
	}
}
