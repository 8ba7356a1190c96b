package diag

import "testing"

// Characters beside their property in the Unicode Character Database, EastAsianWidth.txt and UnicodeData.txt, version 14.0.
func TestColumns(t *testing.T) {
	for _, test := range []struct {
		text, property string
		want           int
	}{
		{"", "", 0},
		{"4 5/8 in", "Na", 8},
		{"½", "A", 1}, {"é", "A", 1}, {"…", "A", 1}, {"″", "A", 1}, {"€", "A", 1}, {"\u00ad", "A, Cf", 1},
		{"e\u0301", "Na and Mn", 1}, {"a\u20dd", "Na and Me", 1}, {"a\u200bb", "Na and Cf", 2}, {"\ufeffa", "Cf and Na", 1},
		{"\u303f", "N", 1}, {"\u3000", "F", 2}, {"Ｗ", "F", 2}, {"ｱ", "H", 1}, {"幅", "W", 2}, {"한", "W", 2}, {"\U00020000", "W", 2}, {"\U0003fffd", "W", 2},
		{"⌚", "W", 2}, {"⌜", "N", 1}, {"⚡", "W", 2}, {"✅", "W", 2}, {"✓", "N", 1}, {"⭐", "W", 2},
		{"\U0001f320", "W", 2}, {"\U0001f321", "N", 1}, {"\U0001f5fa", "N", 1}, {"\U0001f5fb", "W", 2}, {"🪑", "W", 2},
		{"قماش", "N", 4}, {"בד", "N", 2},
		{"\xff", "the mark for what is no character, A", 1},
	} {
		if got := Columns(test.text); got != test.want {
			t.Errorf("%q (%s) takes %d columns, want %d", test.text, test.property, got, test.want)
		}
	}
}

func TestWideRangesAreInOrder(t *testing.T) {
	last := rune(0)
	for _, r := range wide {
		if r[0] <= last || r[1] < r[0] {
			t.Errorf("%x to %x does not follow %x", r[0], r[1], last)
		}
		last = r[1]
	}
}
