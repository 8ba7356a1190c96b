package print

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func TestCleanShowsControls(t *testing.T) {
	cases := map[string]string{
		"plain ½ in": "plain ½ in", "a\tb\nc\r": "a b c ", "\x1b[31m": "␛[31m", "\x00": "␀", "\x7f": "␡", "\u0085": "\ufffd", "\u202eevil": "\ufffdevil", "\u2028": "\ufffd",
	}
	for s, want := range cases {
		if got := clean(s); got != want {
			t.Errorf("%q is cleaned to %q, want %q", s, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	cases := []struct {
		text  string
		width int
		want  []string
	}{
		{"", 10, []string{""}},
		{"cut the board", 40, []string{"cut the board"}},
		{"cut the board 46 in wide", 10, []string{"cut the", "board 46", "in wide"}},
		{"46" + noBreak + "in by 17" + noBreak + "in", 8, []string{"46 in by", "17 in"}},
		{"harbourharbour tweed", 5, []string{"harbo", "urhar", "bour", "tweed"}},
		{"幅木幅木", 4, []string{"幅木", "幅木"}},
	}
	for _, c := range cases {
		if diff := cmp.Diff(c.want, Wrap(c.text, c.width)); diff != "" {
			t.Errorf("%q at %d: %s", c.text, c.width, diff)
		}
	}
}

// A word may be as long as a file may be: where Wrap measured what was left of it for each line, this took an hour.
func TestWrapOfALongWordTakesNoLongerThanItIs(t *testing.T) {
	const letters = 1 << 20
	if got := len(Wrap(strings.Repeat("é", letters), 2)); got != letters/2 {
		t.Errorf("%d lines", got)
	}
}

// FuzzWrap holds that nothing is lost and no line is too wide, whatever the text.
func FuzzWrap(f *testing.F) {
	f.Add("cut the board 46 in wide", 10)
	f.Add("幅木\x1b[0m e\u0301", 1)
	f.Fuzz(func(t *testing.T, text string, width int) {
		if width < 2 || width > 200 || !utf8.ValidString(text) {
			return
		}
		lines := Wrap(text, width)
		letters := func(s string) string {
			return strings.Map(func(r rune) rune {
				if unicode.IsSpace(r) {
					return -1
				}
				return r
			}, clean(s))
		}
		if got := letters(strings.Join(lines, "")); got != letters(text) {
			t.Errorf("%q became %q", text, got)
		}
		for _, line := range lines {
			if diag.Columns(line) > width && utf8.RuneCountInString(line) > 1 {
				t.Errorf("%q is wider than %d", line, width)
			}
		}
	})
}

func TestTable(t *testing.T) {
	tb := table{}
	tb.column("piece", false)
	tb.column("wide", true)
	tb.row("board", "46 in")
	tb.row("skin\x1b", "~7 5/8 in")
	tb.row("幅", "½ in")
	var b strings.Builder
	tb.write(Page{}, &b)
	want := "" +
		"  piece       wide\n" +
		"  board      46 in\n" +
		"  skin␛  ~7 5/8 in\n" +
		"  幅          ½ in\n"
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}

// The page is 100 columns, as the command says.
func TestTableKeepsToThePage(t *testing.T) {
	tb := table{}
	tb.column("piece", false)
	tb.column("wide", true)
	tb.column("from", false)
	tb.row(strings.Repeat("long ", 30), "46 in", strings.Repeat("x", 70))
	var b strings.Builder
	tb.write(Page{}, &b)
	for line := range strings.Lines(b.String()) {
		if n := diag.Columns(strings.TrimSuffix(line, "\n")); n > 100 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if n := strings.Count(b.String(), "long"); n != 30 {
		t.Errorf("of 30 words %d are left", n)
	}
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letters(n); got != want {
			t.Errorf("row %d is %s, want %s", n, got, want)
		}
	}
}

// Fields that a spreadsheet would run as formulas are the ones of the OWASP note on CSV injection: =, +, -, @, tab and carriage return first.
func TestCSVField(t *testing.T) {
	cases := map[string]string{
		"board": "board", "24 1/2 in": "24 1/2 in", "": "", "Hall, left": `"Hall, left"`, `said "soon"`: `"said ""soon"""`, "two\nlines": "\"two\nlines\"",
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@a": "'@a", "\ta": "'\ta", "\ra": "\"'\ra\"", "=a,b": `"'=a,b"`, " a": `" a"`,
	}
	for in, want := range cases {
		if got := string(csvField(nil, in)); got != want {
			t.Errorf("%q is written %q, want %q", in, got, want)
		}
	}
}

func TestPaintOnlyWhereColourIsWanted(t *testing.T) {
	if got := (Page{}).paint(red, "error"); got != "error" {
		t.Errorf("%q", got)
	}
	if got := (Page{Colour: true}).paint(red, "error"); got != "\x1b[1;31merror\x1b[0m" {
		t.Errorf("%q", got)
	}
}
