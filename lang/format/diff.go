package format

import (
	"fmt"
	"slices"
	"strings"
)

const (
	around      = 3    // lines of context
	mostChanges = 4000 // changes beyond which no shortest difference is sought
)

// edit is a line that is kept (' '), taken out ('-') or put in ('+').
type edit struct {
	sign byte
	text string
}

// Diff gives the unified difference of two texts of the file name, old to new; empty where they are the same.
func Diff(name, old, new string) string {
	if old == new {
		return ""
	}
	edits := compare(splitLines(old), splitLines(new))
	var b strings.Builder
	fmt.Fprintf(&b, "--- %s\n+++ %s (tidied)\n", name, name)
	for from := nextChange(edits, 0); from < len(edits); {
		to := hunkEnd(edits, from)
		writeHunk(&b, edits, max(0, from-around), min(len(edits), to+around))
		from = nextChange(edits, to)
	}
	return b.String()
}

// splitLines keeps the line ends, so that a missing last one shows.
func splitLines(text string) []string {
	lines := strings.SplitAfter(text, "\n")
	if lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

func nextChange(edits []edit, i int) int {
	for i < len(edits) && edits[i].sign == ' ' {
		i++
	}
	return i
}

// hunkEnd gives where the changes end that are near enough to share their context.
func hunkEnd(edits []edit, from int) int {
	to := from
	for i := from; i < len(edits) && i-to <= 2*around; i++ {
		if edits[i].sign != ' ' {
			to = i + 1
		}
	}
	return to
}

func writeHunk(b *strings.Builder, edits []edit, from, to int) {
	oldFrom, newFrom := counted(edits[:from])
	oldLines, newLines := counted(edits[from:to])
	fmt.Fprintf(b, "@@ -%s +%s @@\n", hunkRange(oldFrom, oldLines), hunkRange(newFrom, newLines))
	for _, e := range edits[from:to] {
		b.WriteByte(e.sign)
		b.WriteString(e.text)
		if !strings.HasSuffix(e.text, "\n") {
			b.WriteString("\n\\ No newline at end of file\n")
		}
	}
}

// hunkRange gives start and length as the unified format has them: an empty range starts at the line before it.
func hunkRange(before, lines int) string {
	if lines == 0 {
		return fmt.Sprintf("%d,0", before)
	}
	return fmt.Sprintf("%d,%d", before+1, lines)
}

func counted(edits []edit) (old, new int) {
	for _, e := range edits {
		if e.sign != '+' {
			old++
		}
		if e.sign != '-' {
			new++
		}
	}
	return old, new
}

// compare gives a shortest list of edits, by the greedy method of E. W. Myers, "An O(ND) Difference Algorithm and Its
// Variations" (1986), between what the two have in common at both ends.
func compare(old, new []string) []edit {
	head := 0
	for head < len(old) && head < len(new) && old[head] == new[head] {
		head++
	}
	tail := 0
	for tail < len(old)-head && tail < len(new)-head && old[len(old)-1-tail] == new[len(new)-1-tail] {
		tail++
	}
	edits := marked(nil, ' ', old[:head])
	edits = append(edits, shortest(old[head:len(old)-tail], new[head:len(new)-tail])...)
	return marked(edits, ' ', old[len(old)-tail:])
}

func marked(edits []edit, sign byte, lines []string) []edit {
	for _, l := range lines {
		edits = append(edits, edit{sign, l})
	}
	return edits
}

// diagonals holds for each diagonal k, from -n to n, how far into old a path comes; it is 2n+1 long.
type diagonals []int32

func (r diagonals) at(k int) int { return int(r[len(r)/2+k]) }

func (r diagonals) set(k, x int) { r[len(r)/2+k] = int32(x) }

// upTo gives a copy of the diagonals from -n to n.
func (r diagonals) upTo(n int) diagonals { return slices.Clone(r[len(r)/2-n : len(r)/2+n+1]) }

// puts reports whether the last of d changes on the way to diagonal k puts a line in, from diagonal k+1.
func (r diagonals) puts(k, d int) bool { return k == -d || k != d && r.at(k-1) < r.at(k+1) }

func shortest(old, new []string) []edit {
	most := min(len(old)+len(new), mostChanges)
	reach := make(diagonals, 2*most+3)
	var history []diagonals
	for d := 0; d <= most; d++ {
		history = append(history, reach.upTo(d+1))
		for k := -d; k <= d; k += 2 {
			x := reach.at(k-1) + 1
			if reach.puts(k, d) {
				x = reach.at(k + 1)
			}
			for x < len(old) && x-k < len(new) && old[x] == new[x-k] {
				x++
			}
			reach.set(k, x)
			if x >= len(old) && x-k >= len(new) {
				return traceBack(history, old, new)
			}
		}
	}
	return marked(marked(nil, '-', old), '+', new)
}

func traceBack(history []diagonals, old, new []string) []edit {
	var back []edit
	x, y := len(old), len(new)
	for d := len(history) - 1; d >= 0; d-- {
		reach, k := history[d], x-y
		before := k - 1
		if reach.puts(k, d) {
			before = k + 1
		}
		fromX := reach.at(before)
		fromY := fromX - before
		for x > fromX && y > fromY && x > 0 && y > 0 {
			x, y = x-1, y-1
			back = append(back, edit{' ', old[x]})
		}
		if d > 0 {
			back, x, y = stepBack(back, x, fromX, fromY, old, new)
		}
	}
	slices.Reverse(back)
	return back
}

func stepBack(back []edit, x, fromX, fromY int, old, new []string) ([]edit, int, int) {
	if x == fromX {
		return append(back, edit{'+', new[fromY]}), fromX, fromY
	}
	return append(back, edit{'-', old[fromX]}), fromX, fromY
}
