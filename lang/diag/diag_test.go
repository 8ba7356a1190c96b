package diag

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Where each byte of a text stands, as a person counts: lines from 1, columns from 1 in characters.
func TestPlaces(t *testing.T) {
	for _, test := range []struct {
		text         string
		at           string // the place is where this begins
		line, column int
		shown        string // the line as it is shown
	}{
		{"rule a", "rule", 1, 1, "rule a"},
		{"rule a", "a", 1, 6, "rule a"},
		{"a\nb = c\n", "c", 2, 5, "b = c"},
		{"a\r\nb = c\r\n", "c", 2, 5, "b = c"},
		{"a\n\nb", "b", 3, 1, "b"},
		{"\ta", "a", 1, 2, "\ta"},
		{"é½布 a", "a", 1, 5, "é½布 a"},
		{"e\u0301 a", "a", 1, 4, "e\u0301 a"},
		{"\xff\xff a", "a", 1, 4, "\xff\xff a"},
		{"\uFEFFa = b\nc", "b", 1, 5, "a = b"},
		{"\uFEFFa = b\nc", "\uFEFF", 1, 1, "a = b"},
		{"\uFEFFa = b\nc", "c", 2, 1, "c"},
		{"a\n", "", 2, 1, ""},
	} {
		var files Files
		files.Add("before.squab", "something\nelse", Trade)
		s := files.Add("a.squab", test.text, House)
		files.Add("behind.squab", "more", House)
		at := len(test.text)
		if test.at != "" {
			at = strings.Index(test.text, test.at)
		}
		want := Place{"a.squab", test.line, test.column}
		if diff := cmp.Diff(want, files.Place(s.Base+Pos(at))); diff != "" {
			t.Errorf("%q in %q (-want +got):\n%s", test.at, test.text, diff)
		}
		if line := s.Line(test.line); line != test.shown {
			t.Errorf("line %d of %q is %q, want %q", test.line, test.text, line, test.shown)
		}
	}
}

func TestLinesOutside(t *testing.T) {
	var files Files
	s := files.Add("a.squab", "one\ntwo", House)
	for _, n := range []int{-1, 0, 3} {
		if line := s.Line(n); line != "" {
			t.Errorf("line %d is %q", n, line)
		}
	}
}

// Every position belongs to the source that holds it, its end included, and no other.
func TestSourcesOfPositions(t *testing.T) {
	var files Files
	texts := []string{"first", "", "third\nwith two lines", "x"}
	for _, text := range texts {
		files.Add(text, text, House)
	}
	if n := len(files.Sources()); n != len(texts) {
		t.Fatalf("%d sources", n)
	}
	next := Pos(1)
	for i, s := range files.Sources() {
		for at := 0; at <= len(texts[i]); at++ {
			if got := files.Source(next); got != s {
				t.Errorf("position %d is not in the source %q", next, s.Name)
			}
			next++
		}
		whole := s.Span()
		if files.Text(whole) != texts[i] || s.Slice(whole) != texts[i] {
			t.Errorf("the whole of %q reads %q", texts[i], files.Text(whole))
		}
	}
	for _, p := range []Pos{0, next, next + 100} {
		if s := files.Source(p); s != nil {
			t.Errorf("position %d is in %q", p, s.Name)
		}
		if place := files.Place(p); place != (Place{}) {
			t.Errorf("position %d is at %v", p, place)
		}
		if text := files.Text(Span{p, p + 1}); text != "" {
			t.Errorf("position %d reads %q", p, text)
		}
	}
	var none *Files
	if none.Source(1) != nil {
		t.Error("no files have a source")
	}
}

func TestSlicesOutside(t *testing.T) {
	var files Files
	files.Add("before", "before", House)
	s := files.Add("a", "text", House)
	for _, at := range []Span{{}, {s.Base - 1, s.Base + 2}, {s.Base + 1, s.Base + 9}, {s.Base + 3, s.Base + 1}} {
		if text := s.Slice(at); text != "" {
			t.Errorf("%v reads %q", at, text)
		}
	}
}

func TestSpans(t *testing.T) {
	a, b := Span{3, 5}, Span{8, 9}
	for _, test := range []struct{ got, want Span }{
		{a.To(b), Span{3, 9}}, {a.To(Span{}), a}, {Span{}.To(b), b}, {Span{}.To(Span{}), Span{}},
	} {
		if test.got != test.want {
			t.Errorf("the span is %v, want %v", test.got, test.want)
		}
	}
	if !(Span{}).IsZero() || a.IsZero() {
		t.Error("a span is nowhere, or none is")
	}
}

func TestListsAreInOrder(t *testing.T) {
	var l List
	l.Error("b", Span{5, 6}, "one")
	l.Warn("c", Span{5, 6}, "two").Note(Span{1, 2}, "here").Fix("so")
	l.Error("a", Span{5, 7}, "three")
	l.Error("z", Span{2, 3}, "four")
	l.Error("b", Span{5, 6}, "other")
	l.Error("b", Span{5, 6}, "one")
	l.Add(Diagnostic{Code: "row", Message: "wrong", Place: Place{"a.csv", 2, 1}})
	l.Add(Diagnostic{Code: "row", Message: "wrong", Place: Place{"a.csv", 3, 1}})
	want := []Diagnostic{
		{Code: "row", Message: "wrong", Place: Place{"a.csv", 2, 1}},
		{Code: "row", Message: "wrong", Place: Place{"a.csv", 3, 1}},
		{Code: "z", Message: "four", At: Span{2, 3}},
		{Code: "a", Message: "three", At: Span{5, 7}},
		{Code: "b", Message: "one", At: Span{5, 6}},
		{Code: "b", Message: "other", At: Span{5, 6}},
		{Code: "c", Severity: Warning, Message: "two", At: Span{5, 6}, Related: []Related{{Span{1, 2}, "here"}}, Help: "so"},
	}
	if diff := cmp.Diff(want, l.All()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if l.Len() != 8 {
		t.Errorf("%d were collected, want 8", l.Len())
	}
}

func TestErrorsOfLists(t *testing.T) {
	var l List
	l.Warn("w", Span{}, "warning")
	if l.HasErrors() || l.ErrorsSince(0) {
		t.Error("a warning is taken for an error")
	}
	l.Error("e", Span{}, "error")
	l.Warn("w", Span{}, "warning")
	for since, want := range []bool{true, true, false, false, false} {
		if got := l.ErrorsSince(since); got != want {
			t.Errorf("errors since %d: %v, want %v", since, got, want)
		}
	}
	if !l.HasErrors() {
		t.Error("the error is lost")
	}
}

func TestWordsOfLayersAndSeverities(t *testing.T) {
	got := []string{Trade.String(), House.String(), Order.String(), Error.String(), Warning.String()}
	if diff := cmp.Diff([]string{"trade", "house", "order", "error", "warning"}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
