package lang

import (
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

// kindNames are short names for the tokens that the tables below tell apart; every other is a plain word or sign.
func kindName(kind lexer.TokenType) string {
	switch kind {
	case numberToken:
		return "n"
	case furtherNumberToken:
		return "more"
	case unitToken:
		return "unit"
	case percentToken:
		return "percent"
	case currencyToken:
		return "money"
	case dateToken:
		return "date"
	case textToken, textOpenToken, textMidToken, textCloseToken:
		return "text"
	case callParenToken:
		return "call"
	case indexBracketToken:
		return "index"
	case identToken:
		return "name"
	case lexer.EOF:
		return "eof"
	}
	return ""
}

func scanned(text string, limits Limits) (string, *diag.List) {
	var files diag.Files
	var problems diag.List
	s := newScanner(files.Add("test", text, diag.House), limits.withDefaults(), &problems)
	s.scan()
	var words []string
	for _, t := range s.tokens[:len(s.tokens)-1] {
		word := "<" + t.Value + ">"
		if name := kindName(t.Type); name != "" {
			word = name + word
		}
		words = append(words, word)
	}
	return strings.Join(words, " "), &problems
}

func TestScan(t *testing.T) {
	for _, test := range []struct{ source, want string }{
		{"5 5/8 12.5", "n<5 5/8> n<12.5>"},
		{"4-5/8 in", "n<4-5/8> unit<in>"},
		{"4 - 5/8", "n<4> <-> n<5/8>"},
		{"4-5", "n<4> <-> n<5>"},
		{"4 -5/8", "n<4> <-> n<5/8>"},
		{"a-5/8", "name<a> <-> n<5/8>"},
		{"5/8/2", "n<5/8> </> n<2>"},
		{"5/8.5", "n<5> </> n<8.5>"},
		{"1.5/8", "n<1.5> </> n<8>"},
		{"5 /8 5/ 8", "n<5> </> n<8> n<5> </> n<8>"},
		{"½ 4½ 4 ½ 4-½", "n<½> n<4½> n<4 ½> n<4-½>"},
		{"4⅟16 ⅟3 ↉ ⅒", "n<4⅟16> n<⅟3> n<↉> n<⅒>"},
		{"4 5⁄8", "n<4 5⁄8>"},
		{"4\n5/8", "n<4> n<5/8>"},
		{`3' 4-5/8" 3'4"`, `n<3> unit<'> more<4-5/8> unit<"> more<3> unit<'> more<4> unit<">`},
		{"3′ 4″ 3’ 4”", "n<3> unit<′> more<4> unit<″> more<3> unit<’> more<4> unit<”>"},
		{`6 "text"`, `n<6> text<"text">`},
		{"3 ft 4 in\n5 in", "n<3> unit<ft> more<4> unit<in> n<5> unit<in>"},
		{"3\nft", "n<3> name<ft>"},
		{"3 off, 3 to 4 by 5 each", "n<3> name<off> <,> n<3> <to> n<4> <by> n<5> unit<each>"},
		{"3 per each per yd", "n<3> <per> unit<each> <per> unit<yd>"},
		{"per unit per price", "<per> unit<unit> <per> unit<price>"},
		{`"a {price} b {f(order, [unit])}"`, `text<"a {> name<price> text<} b {> name<f> call<(> name<order> <,> <[> name<unit> <]> <)> text<}">`},
		{"per yd 5", "<per> unit<yd> n<5>"},
		{"2 ft² 2 ft2 2 m³", "n<2> unit<ft²> more<2> unit<ft2> more<2> unit<m³>"},
		{"15% $41.50 £12 €8", "n<15> percent<%> money<$> n<41.50> money<£> n<12> money<€> n<8>"},
		{"2026-03-01 2024-02-29", "date<2026-03-01> date<2024-02-29>"},
		{"12026-03-01", "n<12026> <-> n<03> <-> n<01>"},
		{"f(a) f (a) f\n(a) if (a) a[1] a\n[1]", "name<f> call<(> name<a> <)> name<f> call<(> name<a> <)> name<f> <(> name<a> <)> " +
			"<if> <(> name<a> <)> name<a> index<[> n<1> <]> name<a> <[> n<1> <]>"},
		{`"a {b} c {"{d}"} e"`, `text<"a {> name<b> text<} c {> text<"{> name<d> text<}"> text<} e">`},
		{`"\{ \" \\ \n"`, `text<"\{ \" \\ \n">`},
		{`"a # b" # c`, `text<"a # b">`},
		{"a≤b≥c×d−e", "name<a> <≤> name<b> <≥> name<c> <×> name<d> <−> name<e>"},
		{"a<=b>=c<d>e=f", "name<a> <<=> name<b> <>=> name<c> <<> name<d> <>> name<e> <=> name<f>"},
		{"étoffe_2 Ask ask_2", "name<étoffe_2> name<Ask> name<ask_2>"},
		{"a.b 5.5 5.b", "name<a> <.> name<b> n<5.5> n<5> <.> name<b>"},
	} {
		got, problems := scanned(test.source, Limits{})
		if diff := cmp.Diff(test.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", test.source, diff)
		}
		for _, d := range problems.All() {
			if d.Severity == diag.Error {
				t.Errorf("%q: %s", test.source, d.Message)
			}
		}
	}
}

// Every word of the reference's list is reserved, and no other.
func TestReservedWords(t *testing.T) {
	page := referencePage(t)
	_, list, found := strings.Cut(page, "Reserved words: `")
	list, _, closed := strings.Cut(list, "`")
	if !found || !closed {
		t.Fatal("the reference has no list of reserved words")
	}
	listed := map[string]bool{}
	for _, word := range strings.Fields(list) {
		listed[word] = true
		if !isReserved(word) {
			t.Errorf("%s is in the reference, but not reserved", word)
		}
	}
	for word := range keywords {
		if !listed[word] {
			t.Errorf("%s is reserved, but not in the reference", word)
		}
	}
	for word := range placedWords {
		if !listed[word] {
			t.Errorf("%s is reserved, but not in the reference", word)
		}
	}
}

func TestCalendar(t *testing.T) {
	for date, exists := range map[string]bool{
		"2026-01-31": true, "2026-02-28": true, "2026-02-29": false, "2024-02-29": true, "2000-02-29": true, "1900-02-29": false,
		"2026-04-31": false, "2026-12-31": true, "2026-13-01": false, "2026-00-10": false, "2026-10-00": false,
	} {
		if got := dateExists(readDate(date, diag.Span{})); got != exists {
			t.Errorf("%s exists: %v, want %v", date, got, exists)
		}
	}
}

func TestPlainText(t *testing.T) {
	for raw, want := range map[string]string{
		`"plain"`: "plain", `""`: "", `"a \"b\" \\ \{ c\nd"`: "a \"b\" \\ { c\nd", `"open {`: "open ", `} mid {`: " mid ", `} end"`: " end",
	} {
		if got := plainText(raw); got != want {
			t.Errorf("%s says %q, want %q", raw, got, want)
		}
	}
}

// A mixed number with a hyphen might be a subtraction, but not where a mark or a unit follows.
func TestMixedOrMinus(t *testing.T) {
	for source, warned := range map[string]bool{
		"4-5/8": true, "4-½": true, "4-5/8 when": true, "4-5/8 to": true, "4-5/8 + 1 in": true, "4-5/8\nin": true, "4-5/8 5": true,
		"4-5/8 in": false, "4-½in": false, `4-5/8"`: false, "4-5/8%": false, "4-5/8 each": false, "4-5/8 hide": false, "4 5/8": false, "4 - 5/8": false,
	} {
		got, problems := scanned(source, Limits{})
		all := problems.All()
		if (len(all) == 1 && all[0].Code == "mixed-or-minus" && all[0].Severity == diag.Warning) != warned || len(all) > 1 {
			t.Errorf("%q is %s with %v; want a warning: %v", source, got, all, warned)
		}
	}
}

// A stroke that stands tight between a measure and a common unit was probably meant for a rate.
func TestRateOrDivision(t *testing.T) {
	for source, warned := range map[string]bool{
		"5 min/yd": true, "5/yd": true, "$4/ft": true, "3 ft 4 in/min": true, `5"/yd`: true,
		"5 min / yd": false, "5 min /yd": false, "a/yd": false, "5 min/wide": false, "(5 min)/yd": false, "5/8 yd": false,
	} {
		_, problems := scanned(source, Limits{})
		all := problems.All()
		if (len(all) == 1 && all[0].Code == "rate-or-division" && all[0].Severity == diag.Warning) != warned || len(all) > 1 {
			t.Errorf("%q: %v; want a warning: %v", source, all, warned)
		}
	}
}

// Signs of other languages are told, and read as what they mean there, so that nothing else is told of them.
func TestForeignSigns(t *testing.T) {
	for sign, want := range map[string]BinaryOp{
		"==": Eq, ":=": Eq, "!=": Eq, "<>": Eq, "≠": Eq, "=>": Ge, "=<": Le, "&&": And, "||": Or, "**": Mul, "^": Mul, "÷": Div, "–": Sub, "—": Sub,
	} {
		var files diag.Files
		var problems diag.List
		s := newScanner(files.Add("test", "a "+sign+" b", diag.House), Limits{}.withDefaults(), &problems)
		s.scan()
		if _, got := binaryLevel(s.tokens[1].Type); got != want || problems.Len() != 1 || len(s.tokens) != 4 {
			t.Errorf("%s is read as %q with %v, want %q and one problem", sign, got, problems.All(), want)
		}
	}
}

// A backslash stands before four characters only.
func TestEscapes(t *testing.T) {
	for c := byte(' '); c < 0x7f; c++ {
		want := ""
		if !strings.ContainsRune(`"\\{n`, rune(c)) {
			want = "text-escape"
		}
		_, problems := scanned(`"a\`+string(c)+`b"`, Limits{})
		got := ""
		if all := problems.All(); len(all) > 0 {
			got = all[0].Code
		}
		if got != want && c != '"' {
			t.Errorf(`\\%c: %q, want %q`, c, got, want)
		}
	}
}

func TestNearest(t *testing.T) {
	words := []string{"piece", "part", "price", "otherwise", "when"}
	for written, want := range map[string]string{
		"peice": "piece", "pieces": "piece", "parts": "part", "othewise": "otherwise", "whne": "when", "wen": "when",
		"edge": "", "pe": "", "piece": "", "interpolated_and_more": "",
	} {
		got, near := nearest(written, words)
		if near != (want != "") || near && got != want {
			t.Errorf("%s is near %q (%v), want %q", written, got, near, want)
		}
	}
}
