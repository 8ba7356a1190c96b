package print

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

// at finds the place of a text in a source.
func at(t *testing.T, src *diag.Source, text string) diag.Span {
	t.Helper()
	i := strings.Index(src.Text, text)
	if i < 0 {
		t.Fatalf("%q is not in the source", text)
	}
	return diag.Span{Start: src.Base + diag.Pos(i), End: src.Base + diag.Pos(i+len(text))}
}

func TestProblems(t *testing.T) {
	files := &diag.Files{}
	house := files.Add("house.squab", "rule fold: length = 2 in\nrule\tflap: length =\t3 in + 2 min\n# 幅\nrule 幅木: length = lost\n", diag.House)
	other := files.Add("other.squab", "one\r\ntwo\r\n", diag.House)
	odd := files.Add("odd.squab", "\ufefffirst\r\né ✅ 🪑 \x00 \xff\xff here קו\r\n", diag.House)
	cases := []struct {
		name    string
		problem diag.Diagnostic
		want    string
	}{
		{"a place, others, a note and help", diag.Diagnostic{Code: "unit-mismatch", Message: "time cannot be added to a length", At: at(t, house, "2 min"),
			Related: []diag.Related{{At: at(t, house, "3 in"), Note: "a length"}, {At: at(t, other, "two"), Note: "and here"}}, Notes: []string{"a note"}, Help: "do so"},
			"house.squab:2:28: error: time cannot be added to a length [unit-mismatch]\n" +
				"     2 | rule    flap: length =    3 in + 2 min\n" +
				"       |                                  ^^^^^\n" +
				"    a length, house.squab:2:21\n" +
				"     2 | rule    flap: length =    3 in + 2 min\n" +
				"       |                           ~~~~\n" +
				"    and here, other.squab:2:1\n" +
				"     2 | two\n" +
				"       | ~~~\n" +
				"    note: a note\n" +
				"    help: do so\n"},
		{"wide characters", diag.Diagnostic{Code: "name-unknown", Severity: diag.Warning, Message: "m", At: at(t, house, "lost")},
			"house.squab:4:19: warning: m [name-unknown]\n" +
				"     4 | rule 幅木: length = lost\n" +
				"       |                     ^^^^\n"},
		{"characters that take no column, two, or none that can be shown", diag.Diagnostic{Code: "c", Message: "m", At: at(t, odd, "here"),
			Related: []diag.Related{{At: at(t, odd, "first"), Note: "after a byte order mark"}, {At: at(t, odd, "\x00"), Note: "NUL"}}},
			"odd.squab:2:13: error: m [c]\n" +
				"     2 | é ✅ 🪑 ␀ \ufffd here קו\n" +
				"       |             ^^^^\n" +
				"    after a byte order mark, odd.squab:1:1\n" +
				"     1 | first\n" +
				"       | ~~~~~\n" +
				"    NUL, odd.squab:2:8\n" +
				"     2 | é ✅ 🪑 ␀ \ufffd here קו\n" +
				"       |         ~\n"},
		{"a place in a file of orders", diag.Diagnostic{Code: "row-fields", Message: "m", Place: diag.Place{File: "week.csv", Line: 3, Column: 1}},
			"week.csv:3:1: error: m [row-fields]\n"},
		{"no place at all", diag.Diagnostic{Code: "layout", Message: "m"}, "error: m [layout]\n"},
		{"an empty stretch at the end of a file", diag.Diagnostic{Code: "c", Message: "m", At: diag.Span{Start: other.Base + 10, End: other.Base + 10}},
			"other.squab:3:1: error: m [c]\n     3 | \n       | ^\n"},
		{"a stretch over lines is marked on its first", diag.Diagnostic{Code: "c", Message: "m", At: diag.Span{Start: house.Base, End: house.Base + 60}},
			"house.squab:1:1: error: m [c]\n     1 | rule fold: length = 2 in\n       | ^^^^^^^^^^^^^^^^^^^^^^^^\n"},
		{"a place behind every source", diag.Diagnostic{Code: "c", Message: "m", At: diag.Span{Start: 1 << 31, End: 1<<31 + 2}}, "error: m [c]\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, Page{}.Problems(files, []diag.Diagnostic{c.problem})); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestManyProblemsAreCounted(t *testing.T) {
	got := Page{}.Problems(nil, make([]diag.Diagnostic, 212))
	if !strings.HasSuffix(got, "… and 12 more\n") || strings.Count(got, "error") != 200 {
		t.Errorf("%d errors, ending in %q", strings.Count(got, "error"), got[len(got)-40:])
	}
}

// FuzzExcerpt holds that the marked stretch stands under its text, within the page, whatever the line holds.
func FuzzExcerpt(f *testing.F) {
	f.Add("rule flap: length = 3 in", 5, 4)
	f.Add(strings.Repeat("x", 300)+"\t幅"+strings.Repeat("y", 300), 301, 2)
	f.Add("\xff\x1b[0m", 0, 9)
	f.Fuzz(func(t *testing.T, line string, from, length int) {
		if from < 0 || from > len(line) || length < 0 {
			return
		}
		e := cut(line, from, min(length, len(line)))
		if n := diag.Columns(e.before + e.marked + e.after); n > maxWidth-gutter {
			t.Errorf("%d columns: %q", n, e)
		}
		if strings.ContainsAny(e.before+e.marked+e.after, "\x1b\x00\n\t") {
			t.Errorf("a control character is shown: %q", e)
		}
	})
}

func TestProblemList(t *testing.T) {
	files := &diag.Files{}
	house := files.Add("house.squab", "one\ntwo three\n", diag.House)
	got := ProblemList(files, []diag.Diagnostic{
		{Code: "a", Message: "m", At: at(t, house, "three"), Help: "h"},
		{Code: "b", Severity: diag.Warning, Message: "n", Place: diag.Place{File: "w.csv", Line: 7, Column: 2}},
	})
	want := []Problem{
		{"error", "a", "house.squab", 2, 5, 2, 10, "m", "h"},
		{"warning", "b", "w.csv", 7, 2, 7, 2, "n", ""},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
