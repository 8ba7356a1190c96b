package bench

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const order7 = `order 7 "Window" {
  make  seat_pad # the usual
  date  = 2026-03-02
  wide  = 30 in # measured twice
  deep  = 20 in because "the sill"
  # the cloth is in the rack
  cover = harbour_tweed
  amend labour_rate = $70 per h
}
`

const order8 = "order 8 { make seat_pad }"

const order9 = `order 9 {
  make seat_pad, 2 off
}`

const orderTight = `order 10 {
  make seat_pad
  wide = 30 in tolerance 1/8 in # as cut
}`

// to is a change of what a page knew nothing about.
func to(name, text string) change { return change{Name: name, To: &text} }

// fromTo is a change of what a page knew.
func fromTo(name, from, text string) change { return change{name, &from, &text} }

// leaveOut says nothing from now on of what a page knew.
func leaveOut(name, from string) change { return change{Name: name, From: &from} }

func TestEdit(t *testing.T) {
	tests := []struct {
		name    string
		order   string
		changes []change
		want    string // the lines that take the place of others, and those: - before, + after
	}{
		{"nothing", order7, nil, ""},
		{"a value in its place, its comment kept", order7, []change{to("wide", "31 1/2 in")}, `
- wide = 30 in # measured twice
+ wide = 31 1/2 in # measured twice`},
		{"two values", order7, []change{to("wide", "2 ft 8 in"), to("deep", "500 mm")}, `
- wide = 30 in # measured twice
- deep = 20 in because "the sill"
+ wide = 2 ft 8 in # measured twice
+ deep = 500 mm because "the sill"`},
		{"a value that was left to its default, after the last", order7, []change{to("straps", "3")}, `
+ straps = 3`},
		{"a value where none is given", order9, []change{to("wide", "9 in")}, `
+ wide = 9 in`},
		{"a value of an order on one line", order8, []change{to("wide", "9 in"), to("deep", "8 in")}, `
+ wide = 9 in
+ deep = 8 in`},
		{"the same that is there", order7, []change{to("wide", "30 in")}, ""},
		{"back to the default, the comment kept", order7, []change{{Name: "wide"}}, `
- wide = 30 in # measured twice
+ # measured twice`},
		{"back to the default, its reason with it", order7, []change{{Name: "deep"}}, `
- deep = 20 in because "the sill"`},
		{"back to the default that holds already", order7, []change{{Name: "straps"}}, ""},
		{"a value with a tolerance, which stays", orderTight, []change{to("wide", "31 in")}, `
- wide = 30 in tolerance 1/8 in # as cut
+ wide = 31 in tolerance 1/8 in # as cut`},
		{"back to the default, its tolerance with it", orderTight, []change{{Name: "wide"}}, `
- wide = 30 in tolerance 1/8 in # as cut
+ # as cut`},
		{"another title", order7, []change{to(titleName, "Bay {wide} \"north\"")}, `
- order 7 "Window" {
+ order 7 "Bay \{wide} \"north\"" {`},
		{"a title where there is none", order9, []change{to(titleName, "Bay")}, `
- order 9 {
+ order 9 "Bay" {`},
		{"no title", order7, []change{{Name: titleName}}, `
- order 7 "Window" {
+ order 7 {`},
		{"how many", order7, []change{to(offName, "4")}, `
- make seat_pad # the usual
+ make seat_pad, 4 off # the usual`},
		{"another many", order9, []change{to(offName, "3")}, `
- make seat_pad, 2 off
+ make seat_pad, 3 off`},
		{"one again", order9, []change{{Name: offName}}, `
- make seat_pad, 2 off
+ make seat_pad`},
		{"another date", order7, []change{to(dateName, "2026-04-01")}, `
- date = 2026-03-02
+ date = 2026-04-01`},
		{"a date where there is none, after the recipe", order9, []change{to(dateName, "2026-04-01")}, `
+ date = 2026-04-01`},
		{"no date", order7, []change{{Name: dateName}}, `
- date = 2026-03-02`},
		{"all at once", order9, []change{to(titleName, "Bay"), to(dateName, "2026-04-01"), {Name: offName}, to("deep", "9 in")}, `
- order 9 {
- make seat_pad, 2 off
+ order 9 "Bay" {
+ make seat_pad
+ date = 2026-04-01
+ deep = 9 in`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			id := strings.Fields(tt.order)[1]
			laid, err1 := edit(tt.order, id, nil)
			got, err2 := edit(tt.order, id, tt.changes)
			if err := errors.Join(err1, err2); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(strings.TrimSpace(tt.want), lineDiff(laid, got)); diff != "" {
				t.Errorf("what changes (-want +got):\n%s\nthe order:\n%s", diff, got)
			}
			if again, err := edit(got, id, nil); err != nil || again != got {
				t.Errorf("laying it out again changes it (%v):\n%s", err, cmp.Diff(got, again))
			}
		})
	}
}

// lineDiff lists the lines that only one of two texts has, however they are indented: those of the first first.
func lineDiff(a, b string) string {
	var all []string
	for _, line := range onlyIn(a, b) {
		all = append(all, "- "+line)
	}
	for _, line := range onlyIn(b, a) {
		all = append(all, "+ "+line)
	}
	return strings.Join(all, "\n")
}

func onlyIn(a, b string) []string {
	there := map[string]int{}
	for line := range strings.Lines(b) {
		there[oneLine(line)]++
	}
	var all []string
	for line := range strings.Lines(a) {
		if line = oneLine(line); there[line] == 0 {
			all = append(all, line)
		} else {
			there[line]--
		}
	}
	return all
}

func TestConflicts(t *testing.T) {
	tests := []struct {
		name    string
		changes []change
		want    []conflict
	}{
		{"the page knew what the file says", []change{fromTo("wide", "30 in", "31 in"), leaveOut("deep", "20 in"), to("straps", "3")}, nil},
		{"the file says another value", []change{fromTo("wide", "29 in", "31 in"), fromTo("deep", "20 in", "21 in")}, []conflict{{"wide", new("30 in")}}},
		{"the file says another value, which is what is wanted", []change{fromTo("wide", "29 in", "30 in")}, nil},
		{"the page knew of nothing, and now the file says something", []change{to("deep", "21 in")}, []conflict{{"deep", new("20 in")}}},
		{"the page knew of a value, and now there is none", []change{fromTo("straps", "2", "3")}, []conflict{{"straps", nil}}},
		{"it is left out already", []change{leaveOut("straps", "2")}, nil},
		{"it is changed, and was to be left out", []change{leaveOut("wide", "29 in")}, []conflict{{"wide", new("30 in")}}},
		{"the title", []change{fromTo(titleName, "Door", "Bay")}, []conflict{{titleName, new("Window")}}},
		{"how many", []change{fromTo(offName, "2", "3")}, []conflict{{offName, nil}}},
		{"the date", []change{fromTo(dateName, "2026-03-01", "2026-04-01")}, []conflict{{dateName, new("2026-03-02")}}},
	}
	s, err := readOrder(order7, "7")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, s.conflicts(tt.changes)); diff != "" {
			t.Errorf("%s: conflicts (-want +got):\n%s", tt.name, diff)
		}
	}
}

// A formula that goes over lines is one line on a page, and no conflict with itself.
func TestSaysOnOneLine(t *testing.T) {
	text := strings.Replace(order7, "30 in # measured twice", "if yes then\n    30 in\n    else 31 in", 1)
	s, err := readOrder(text, "7")
	if err != nil {
		t.Fatal(err)
	}
	says := s.says("wide")
	if says == nil || *says != "if yes then 30 in else 31 in" {
		t.Fatalf("it says %v", says)
	}
	if c := s.conflicts([]change{fromTo("wide", *says, "29 in")}); c != nil {
		t.Errorf("conflicts: %v", c)
	}
}

// A page shows the words of a text; what is more than words it shows as it is written, and either is written again as it was.
func TestUnquoted(t *testing.T) {
	for text, want := range map[string]string{
		`"seat"`: "seat", `""`: "", `"a  b"`: "a  b", `"the \"big\" one"`: `the "big" one`, `"a \{b} \\ c"`: `a {b} \ c`,
		`"pad {wide}"`: `"pad {wide}"`, `"two\nlines"`: `"two\nlines"`, `"\"big\""`: `"\"big\""`, `" led"`: `" led"`, "label_of(2)": "label_of(2)", `"`: `"`,
	} {
		got := unquoted(text)
		if got != want {
			t.Errorf("%s is shown as %s, want %s", text, got, want)
		}
		if back := quoted(&got); strings.HasPrefix(text, `"`) && *back != text {
			t.Errorf("%s is shown as %s, which is written as %s", text, got, *back)
		}
	}
}

// hostileValues try to be more than a value.
var hostileValues = []string{
	"30 in\n}\norder 99 { make seat_pad }", "30 in }", "30 in # hidden", "30 in\r  deep = 1 in", "", "   ", "30 in deep = 1 in", `"`, "{", "30 in because \"so\"",
	"30 in\x00", "30 in\u2028wide = 2 in", strings.Repeat("(", 5000),
}

func TestEditRefusesWhatIsNoValue(t *testing.T) {
	for _, value := range hostileValues {
		for _, name := range []string{"wide", "straps", offName, dateName} {
			if got, err := edit(order7, "7", []change{to(name, value)}); err == nil {
				t.Errorf("%s as %.40q is taken:\n%s", name, value, got)
			}
		}
	}
	for _, title := range []string{"", "a\nb", "a\x00b"} {
		if got, err := edit(order7, "7", []change{to(titleName, title)}); err == nil {
			t.Errorf("the title %q is taken:\n%s", title, got)
		}
	}
	for _, ask := range []string{"wide = 1 in\n  x", "make", "date\n", "", "make seat_pad\n x"} {
		if got, err := edit(order7, "7", []change{to(ask, "1 in")}); err == nil {
			t.Errorf("the ask %q is taken:\n%s", ask, got)
		}
	}
	for _, text := range []string{order8, order7 + order8, order7 + "rule x: length = 1 in\n", "order 7 {\n", "", "proof \"7\" {\n}\n"} {
		if got, err := edit(text, "7", nil); err == nil {
			t.Errorf("%q is taken for the order 7:\n%s", text, got)
		}
	}
}

func TestDraft(t *testing.T) {
	got, err := draft("12", "seat_pad")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff("order 12 {\n  make seat_pad\n}\n", got); diff != "" {
		t.Errorf("the order (-want +got):\n%s", diff)
	}
	for id, taken := range map[string]bool{"0012": true, "bay": true, "the \"big\" one": true, "1/2": true, "12 {": true, "a\nb": false, "": true, "x\x00": false} {
		if got, err := draft(id, "seat_pad"); (err == nil) != taken {
			t.Errorf("the number %q is taken: %v, %v\n%s", id, err == nil, err, got)
		}
	}
	for _, recipe := range []string{"", "seat_pad, 2 off", "seat_pad\n wide = 1 in", "seat_pad }\norder 13 { make seat_pad", "seat_pad # so", "seat_pad\n amend x = 1"} {
		if got, err := draft("12", recipe); err == nil {
			t.Errorf("the recipe %q is taken:\n%s", recipe, got)
		}
	}
}

// FuzzEdit holds that whatever a page sends either is refused or changes what it names alone.
func FuzzEdit(f *testing.F) {
	for _, v := range append(hostileValues, "31 in", "3 ft 1/2 in", "wide_of(2) + 1 in", "if yes then 1 in else 2 in", "2026-05-01", "3", "Bay") {
		for _, name := range []string{"wide", "straps", titleName, offName, dateName} {
			f.Add(name, v, false)
			f.Add(name, v, true)
		}
	}
	laid, err := edit(order7, "7", nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, name, value string, out bool) {
		c := to(name, value)
		if out {
			c.To = nil
		}
		got, err := edit(order7, "7", []change{c})
		if err != nil {
			return
		}
		if more := strings.Split(lineDiff(laid, got), "\n"); len(more) > 2 {
			t.Fatalf("%q as %q changes more than a line:\n%s", name, value, strings.Join(more, "\n"))
		}
		after, err := readOrder(got, "7")
		if err != nil {
			t.Fatal(err)
		}
		says := after.says(name)
		if out != (says == nil) {
			t.Fatalf("%q is given: %v", name, says != nil)
		}
		if says != nil && bare(*says) != bare(value) { // the layout puts blanks where they belong
			t.Errorf("%q as %q comes to say %q", name, value, *says)
		}
	})
}

func bare(text string) string { return strings.Join(strings.Fields(text), "") }
