package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"
)

// rowVerbs are the verbs that take orders from a file of rows, as they are asked of the test house.
var rowVerbs = map[string][]string{
	"cut":    {"cut", "house.squab"},
	"ticket": {"ticket", "house.squab"},
	"reach":  {"reach", "edge_fold", "house.squab"},
	"why":    {"why", "cut_wide", "house.squab"},
	"lean":   {"lean", "cut_wide", "house.squab"},
	"seek":   {"seek", "cut_wide = 30 in by wide", "house.squab"},
	"spread": {"spread", "house.squab", "--tolerance", "1.wide=1/8 in"},
}

// TestEveryVerbTellsWhatIsWrongWithAFileOfRows holds that no verb answers as if a file of rows were whole where it is not.
func TestEveryVerbTellsWhatIsWrongWithAFileOfRows(t *testing.T) {
	house(t)
	put(t, "folder/readme", "")
	put(t, "near.csv", "order,wyde,wide,drop\n1,,20 in,4 ft\n")
	put(t, "twice.csv", "order,wide,wide,drop\n1,20 in,20 in,4 ft\n")
	put(t, "late.jsonl", `{"order":1,"wide":"20 in","drop":"4 ft"}`+"\n\n"+`{"order":2,"wyde":"20 in"}`+"\n")
	for _, c := range []struct {
		rows, want string
		status     int
	}{
		{"folder", "squab: read folder: is a directory\n", statusFile},
		{"near.csv", "near.csv:1:7: error: roller_blind has no ask called wyde", statusProblems},
		{"twice.csv", "twice.csv:1:12: error: there are two columns wide", statusProblems},
		{"late.jsonl", "late.jsonl:3:19: error: roller_blind has no ask called wyde", statusProblems},
	} {
		for verb, args := range rowVerbs {
			args := append(append([]string{}, args...), "--orders", c.rows, "--recipe", "roller_blind")
			if c.rows == "late.jsonl" && verb != "cut" && verb != "ticket" && verb != "reach" {
				args = append(args, "--order", "1")
			}
			got := squab("", args...)
			if got.status != c.status || !strings.Contains(got.err, c.want) {
				t.Errorf("%s: status %d, want %d and %q: %s", strings.Join(args, " "), got.status, c.status, c.want, got.err)
			}
			if c.status == statusFile && verb == "ticket" && got.out != "" {
				t.Errorf("%s makes a page of what could be read", verb)
			}
		}
	}
}

// TestRowsThatEndTooSoonAreTold has the disk fail behind the first order of a file.
func TestRowsThatEndTooSoonAreTold(t *testing.T) {
	house(t)
	for verb, args := range rowVerbs {
		in := io.MultiReader(strings.NewReader("order,wide,drop\n1,20 in,4 ft\n"), iotest.ErrReader(errors.New("the disk is gone")))
		var told bytes.Buffer
		s := streams{in: in, out: io.Discard, err: &told, now: func() time.Time { return testDay }}
		status := run(context.Background(), append(append([]string{}, args...), "--orders", "-", "--recipe", "roller_blind"), s)
		if status != statusFile || told.String() != "squab: the disk is gone\n" {
			t.Errorf("%s: status %d: %s", verb, status, told.String())
		}
	}
}

// TestAnOrderThatIsRefusedIsAskedNothing gives less than the recipe asks: no verb has an answer but seek, which looks for the ask.
func TestAnOrderThatIsRefusedIsAskedNothing(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,drop\n1,4 ft\n")
	for _, verb := range []string{"cut", "why", "lean", "spread"} {
		got := squab("", append(append([]string{}, rowVerbs[verb]...), "--orders", "rows.csv", "--recipe", "roller_blind", "--format", "json")...)
		if got.status != statusProblems || !strings.Contains(got.err, "rows.csv:2:1: error: roller_blind asks for wide") || verb != "cut" && got.out != "" {
			t.Errorf("%s: status %d: %s%s", verb, got.status, got.out, got.err)
		}
	}
}

// TestAProblemElsewhereSetsTheStatus asks about one order of files in which another has an error.
func TestAProblemElsewhereSetsTheStatus(t *testing.T) {
	house(t)
	put(t, "bad.squab", "order 9 {\n  make roller_blind\n  wide = 20 min\n  drop = 4 ft\n}\n")
	for _, args := range [][]string{
		{"cut", "house.squab", "orders.squab", "bad.squab"}, {"ticket", "house.squab", "orders.squab", "bad.squab"}, {"book", "house.squab", "bad.squab"},
		{"reach", "edge_fold", "house.squab", "orders.squab", "bad.squab"}, {"check", "house.squab", "bad.squab"}, {"prove", "house.squab", "bad.squab"},
		{"why", "cut_wide", "house.squab", "orders.squab", "bad.squab", "--order", "7"}, {"lean", "cut_wide", "house.squab", "orders.squab", "bad.squab", "--order", "7"},
		{"seek", "cut_wide = 30 in by wide", "house.squab", "orders.squab", "bad.squab", "--order", "7"},
		{"spread", "house.squab", "orders.squab", "bad.squab", "--order", "7", "--tolerance", "7.wide=1/8 in"},
		{"compare", "house.squab", "house.squab", "orders.squab", "bad.squab"},
	} {
		got := squab("", args...)
		if got.status != statusProblems || got.out == "" || !strings.Contains(got.err, "bad.squab:3:10: error: wide must be a length") {
			t.Errorf("%v: status %d, %d bytes of an answer: %s", args, got.status, len(got.out), got.err)
		}
	}
}

// TestProblemsOutweighAReaderThatHasGone has what was wrong decide the status, whether or not anybody read the results to their end.
func TestProblemsOutweighAReaderThatHasGone(t *testing.T) {
	house(t)
	put(t, "bad.squab", "order 9 {\n  make roller_blind\n  wide = 20 min\n  drop = 4 ft\n}\n")
	for _, room := range []int{0, 100, 1 << 20} {
		s := streams{in: strings.NewReader(""), out: &brokenWriter{room, io.ErrClosedPipe}, err: io.Discard, now: func() time.Time { return testDay }}
		if got := run(context.Background(), []string{"cut", "house.squab", "orders.squab", "bad.squab"}, s); got != statusProblems {
			t.Errorf("a reader that takes %d bytes: status %d", room, got)
		}
	}
}

// TestNoOrdersMakeNoPage asks for pages of a book without orders, for standard output and for a folder.
func TestNoOrdersMakeNoPage(t *testing.T) {
	house(t)
	put(t, "pages/readme", "")
	want := ran{err: "squab: there are no orders to make a page of\nsquab ticket --help shows how it is used\n", status: statusMisused}
	for _, more := range [][]string{nil, {"--out", "pages"}, {"--out", "page.html"}} {
		got := squab("", append([]string{"ticket", "house.squab"}, more...)...)
		if diff := cmp.Diff(want, got, cmp.AllowUnexported(ran{})); diff != "" {
			t.Errorf("%v (-want +got):\n%s", more, diff)
		}
	}
}

// TestTidyTellsOfEveryFile has one file that cannot be read as source and one that cannot be written.
func TestTidyTellsOfEveryFile(t *testing.T) {
	house(t)
	put(t, "a.squab", "rule = 3 in\n")
	put(t, "c.squab", "rule   wide : length=3 in\n")
	got := squab("", "tidy", "--write", "a.squab", "c.squab")
	if got.status != statusProblems || !strings.Contains(got.err, "a.squab:1:") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if diff := cmp.Diff("rule wide: length = 3 in\n", readFile(t, "c.squab")); diff != "" {
		t.Error(diff)
	}
}
