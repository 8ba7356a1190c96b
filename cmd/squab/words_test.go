package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestClosingCountsEveryOrder adds up what the last line of a run says, however many orders it names.
func TestClosingCountsEveryOrder(t *testing.T) {
	for _, c := range []struct{ cut, refused, named, more int }{{1, 0, 0, 0}, {0, 1, 1, 0}, {3, 2, 2, 0}, {0, 20, 20, 0}, {5, 21, 20, 1}, {0, 1000, 20, 980}} {
		sum := tally{cut: c.cut}
		for i := range c.refused {
			sum.refuse(fmt.Sprintf("r%d", i+1))
		}
		line := strings.Join(strings.Fields(sum.closing()), " ")
		all := fmt.Sprintf("%d orders: %d cut, %d refused", c.cut+c.refused, c.cut, c.refused)
		if c.cut+c.refused == 1 {
			all = strings.Replace(all, "orders", "order", 1)
		}
		if !strings.HasPrefix(line, all) || strings.Count(line, "r") != strings.Count(all, "r")+c.named+strings.Count(line, "more") {
			t.Errorf("%+v: %s", c, line)
		}
		if want := fmt.Sprintf(" and %d more).", c.more); strings.HasSuffix(line, want) != (c.more > 0) {
			t.Errorf("%+v: %s", c, line)
		}
	}
	if diff := cmp.Diff("There are no orders.\n", tally{}.closing()); diff != "" {
		t.Error(diff)
	}
}

func TestIDsAreShownOnOneLine(t *testing.T) {
	for id, want := range map[string]string{
		"1042":                    "1042",
		"two\nlines\x1b[31m":      "two\ufffdlines\ufffd[31m",
		strings.Repeat("é", 60):   strings.Repeat("é", 60),
		strings.Repeat("é", 61):   strings.Repeat("é", 60) + "…",
		"turned \u202eround":      "turned \ufffdround",
		"behind\u00a0no break":    "behind\ufffdno break",
		"\xff is no text":         "\ufffd is no text",
		"North window, 2nd \"7\"": "North window, 2nd \"7\"",
	} {
		if diff := cmp.Diff(want, cleanID(id)); diff != "" {
			t.Errorf("%q: %s", id, diff)
		}
	}
}
