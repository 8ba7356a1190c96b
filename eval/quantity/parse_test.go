package quantity

import (
	"errors"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"0", "0"}, {"46", "46"}, {"007", "7"}, {"-46", "-46"}, {"−46", "-46"},
		{"5/8", "5/8"}, {"10/16", "5/8"}, {"197/8", "197/8"}, {"-5/8", "-5/8"}, {"5⁄8", "5/8"}, {"16/4", "4"},
		{"17 5/8", "141/8"}, {"17-5/8", "141/8"}, {"17  5/8", "141/8"}, {"17\u00a05/8", "141/8"}, {"17 5⁄8", "141/8"},
		{"-17 5/8", "-141/8"}, {"-17-5/8", "-141/8"}, {"−17-5/8", "-141/8"}, {"0 5/8", "5/8"},
		{"½", "1/2"}, {"3½", "7/2"}, {"3 ½", "7/2"}, {"3-½", "7/2"}, {"-3½", "-7/2"}, {"-½", "-1/2"},
		{"¼", "1/4"}, {"¾", "3/4"}, {"⅓", "1/3"}, {"⅔", "2/3"}, {"⅕", "1/5"}, {"⅖", "2/5"}, {"⅗", "3/5"}, {"⅘", "4/5"},
		{"⅙", "1/6"}, {"⅚", "5/6"}, {"⅐", "1/7"}, {"⅛", "1/8"}, {"⅜", "3/8"}, {"⅝", "5/8"}, {"⅞", "7/8"}, {"⅑", "1/9"}, {"⅒", "1/10"},
		{"12.5", "25/2"}, {".5", "1/2"}, {"-.5", "-1/2"}, {"0.0001", "1/10000"}, {"41.50", "83/2"}, {"1.000", "1"},
		{"9223372036854775807", "9223372036854775807"}, {"-9223372036854775808", "-9223372036854775808"},
		{"100000000000000000000", "100000000000000000000"}, {"0000000000000000000000000000001", "1"},
		{"0.1234567890123456789", "1234567890123456789/10000000000000000000"},
		{"1/100000000000000000000", "1/100000000000000000000"},
		{strings.Repeat("9", MaxDigits), strings.Repeat("9", MaxDigits)},
	} {
		got, err := Parse(test.text)
		if err != nil || got.String() != test.want {
			t.Errorf("Parse(%q) = %s, %v; want %s", test.text, got, err, test.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	digits := strings.Repeat("7", MaxDigits)
	for _, test := range []struct {
		text   string
		offset int
		reason string // a part of it
	}{
		{"", 0, "digit is missing"}, {"-", 1, "digit is missing"}, {".", 1, "digit is missing"},
		{"12.", 3, "digit is missing"}, {"5/", 2, "digit is missing"}, {"4 ", 2, "digit is missing"},
		{"1,200", 1, "comma"}, {"12,5", 2, "comma"}, {"1,200.50", 1, "comma"},
		{"1e3", 1, "powers of ten"}, {"1.5E3", 3, "powers of ten"}, {"e3", 0, "unexpected 'e'"},
		{"5/0", 2, "zero"}, {"0/0", 2, "zero"}, {"17 5/0", 5, "zero"}, {"1/000", 2, "zero"},
		{"+5", 0, "sign"}, {"--5", 1, "sign"}, {"17 - 5/8", 3, "sign"}, {"5/-8", 2, "sign"}, {"17--5/8", 3, "sign"},
		{"17 5", 4, "ends in a fraction"}, {"17-5", 4, "ends in a fraction"},
		{"17 8/8", 6, "under 1"}, {"17 9/8", 6, "under 1"},
		{"17.5 1/2", 4, "unexpected ' '"}, {"1/2/3", 3, "unexpected '/'"}, {"1.2.3", 3, "unexpected '.'"},
		{"½ ½", 2, "unexpected ' '"}, {"½3", 2, "unexpected '3'"}, {" 5", 0, "unexpected ' '"}, {"five", 0, "unexpected 'f'"},
		{"5in", 1, "unexpected 'i'"}, {"0x10", 1, "unexpected 'x'"}, {"1_000", 1, "unexpected '_'"}, {"٣", 0, "unexpected '٣'"},
		{"NaN", 0, "unexpected 'N'"}, {"Inf", 0, "unexpected 'I'"}, {"5\x00", 1, "unexpected"}, {"\xff", 0, "unexpected"},
		{"5–8", 1, "unexpected '–'"}, {"$5", 0, "unexpected '$'"},
		{digits + "7", MaxDigits + 1, "digits"}, {digits + "/7", MaxDigits + 2, "digits"}, {digits + ".7", MaxDigits + 2, "digits"},
	} {
		got, err := Parse(test.text)
		var mistake *ParseError
		if !errors.As(err, &mistake) {
			t.Errorf("Parse(%.50q) = %s, %v; want an error about %q", test.text, got, err, test.reason)
			continue
		}
		if mistake.Offset != test.offset || !strings.Contains(mistake.Reason, test.reason) || mistake.Text != test.text {
			t.Errorf("Parse(%.50q) fails at %d, %q; want at %d, %q", test.text, mistake.Offset, mistake.Reason, test.offset, test.reason)
		}
		if got != (Number{}) {
			t.Errorf("Parse(%.50q) gives %s beside its error", test.text, got)
		}
	}
}

func TestParseErrorIsShort(t *testing.T) {
	for _, text := range []string{strings.Repeat("x", 1_000_000), strings.Repeat("\xff", 1000), strings.Repeat("é", 1000)} {
		if _, err := Parse(text); len(err.Error()) > 400 {
			t.Errorf("the error takes %d bytes", len(err.Error()))
		}
	}
	_, err := Parse("1,200")
	if want := `"1,200" is not a number: a comma is not part of a number; write 1200 and 12.5`; err.Error() != want {
		t.Errorf("the error reads %s, want %s", err, want)
	}
}
