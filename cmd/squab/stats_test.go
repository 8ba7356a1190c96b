package main

import (
	"io"
	"strings"
	"testing"
)

// Every order is counted once, whichever way it was worked out.
func TestStatsCountEveryOrder(t *testing.T) {
	rows, err := io.ReadAll(newPads(300))
	if err != nil {
		t.Fatal(err)
	}
	odd := "off,date,wide,deep,cover,pad\n" + strings.Repeat("1,2026-06-01,20 in,14 in,pebble_linen,firm_2in\n", 254) +
		"1,2026-06-01,20 1/3 in,14 in,pebble_linen,firm_2in\n" + "1,2026-06-01,wide,14 in,pebble_linen,firm_2in\n"
	for _, c := range []struct {
		in, format string
		more       []string
		want       string
	}{
		{string(rows), "csv", nil, "256 orders side by side, 44 one by one"},
		{string(rows), "jsonl", []string{"--jobs", "3"}, "256 orders side by side, 44 one by one"},
		{odd, "csv", nil, "of the former, 1 were worked out again and 1 lay off the units proven"},
		{odd, "jsonl", nil, "of the former, 0 were worked out again and 1 lay off the units proven"},
		{odd, "jsonl", nil, "255 orders side by side, 1 one by one"},
		{odd, "jsonl", nil, "0 values were worked out apart"},
	} {
		got := squab(c.in, cutPads(c.format, append(c.more, "--stats")...)...)
		if !strings.Contains(got.err, "stats: "+c.want) {
			t.Errorf("%s %v: %s, want %s", c.format, c.more, got.err, c.want)
		}
		for line := range strings.Lines(got.err) {
			if strings.HasPrefix(line, "stats: ") && len(line) > 80 {
				t.Errorf("%q is wider than a terminal", line)
			}
		}
	}
}

// However many workers there are, and whether or not orders are worked out side by side, the same is written, in the order of the rows.
func TestWorkersDoNotChangeWhatIsWritten(t *testing.T) {
	rows, err := io.ReadAll(newPads(700))
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []string{"csv", "jsonl", "json", "text"} {
		one := squab(string(rows), cutPads(format, "--jobs", "1")...)
		several := squab(string(rows), cutPads(format, "--jobs", "5")...)
		if one.out != several.out || one.status != statusWell {
			t.Errorf("%s: five workers write something else than one", format)
		}
	}
}

// An order comes to the same whether it is one of many or alone.
func TestOrdersAloneAreThoseSideBySide(t *testing.T) {
	rows, err := io.ReadAll(newPads(200))
	if err != nil {
		t.Fatal(err)
	}
	heading, orders, _ := strings.Cut(string(rows), "\n")
	few := strings.Join(strings.SplitAfter(orders, "\n")[:40], "")
	for _, format := range []string{"csv", "jsonl"} {
		many := squab(string(rows), cutPads(format)...)
		apart := squab(heading+"\n"+few, cutPads(format, "--stats")...)
		if !strings.HasPrefix(many.out, apart.out) || !strings.Contains(apart.err, "stats: 0 orders side by side") {
			t.Errorf("%s: orders come to something else one by one: %s", format, apart.err)
		}
	}
}
