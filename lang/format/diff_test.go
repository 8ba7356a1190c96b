package format

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestDiff(t *testing.T) {
	for _, test := range []struct{ name, old, new, want string }{
		{"the same", "a\n", "a\n", ""},
		{"one line", "a\nb\nc\n", "a\nB\nc\n", "@@ -1,3 +1,3 @@\n a\n-b\n+B\n c\n"},
		{"from nothing", "", "a\n", "@@ -0,0 +1,1 @@\n+a\n"},
		{"to nothing", "a\n", "", "@@ -1,1 +0,0 @@\n-a\n"},
		{"a last line end", "a", "a\n", "@@ -1,1 +1,1 @@\n-a\n\\ No newline at end of file\n+a\n"},
		{
			"two places far apart", "1\n2\n3\n4\n5\n6\n7\n8\n9\n", "x\n2\n3\n4\n5\n6\n7\n8\ny\n",
			"@@ -1,4 +1,4 @@\n-1\n+x\n 2\n 3\n 4\n@@ -6,4 +6,4 @@\n 6\n 7\n 8\n-9\n+y\n",
		},
		{ // as GNU diffutils 3 with -u has it
			"two places whose context meets", "1\n2\n3\n4\n5\n6\n7\n8\n", "x\n2\n3\n4\n5\n6\n7\ny\n",
			"@@ -1,8 +1,8 @@\n-1\n+x\n 2\n 3\n 4\n 5\n 6\n 7\n-8\n+y\n",
		},
		{
			"two places near", "1\n2\n3\n4\n5\n6\n7\n", "x\n2\n3\n4\n5\n6\ny\n",
			"@@ -1,7 +1,7 @@\n-1\n+x\n 2\n 3\n 4\n 5\n 6\n-7\n+y\n",
		},
	} {
		want := test.want
		if want != "" {
			want = "--- a.squab\n+++ a.squab (tidied)\n" + want
		}
		if diff := cmp.Diff(want, Diff("a.squab", test.old, test.new)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

// inCommon is how many lines two texts share in order: the longest common subsequence, by the table of all their beginnings.
func inCommon(old, new []string) int {
	row := make([]int, len(new)+1)
	for _, a := range old {
		diagonal := 0
		for j, b := range new {
			above := row[j+1]
			row[j+1] = max(row[j], above)
			if a == b {
				row[j+1] = diagonal + 1
			}
			diagonal = above
		}
	}
	return row[len(new)]
}

// Whatever the texts, the edits take the old to the new, and none could be spared.
func TestEditsTakeOldToNew(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	text := func() []string {
		lines := make([]string, random.IntN(12))
		for i := range lines {
			lines[i] = string(rune('a'+random.IntN(4))) + "\n"
		}
		return lines
	}
	for range 5000 {
		old, new := text(), text()
		var before, after strings.Builder
		edits := compare(old, new)
		if least := len(old) + len(new) - inCommon(old, new); len(edits) != least {
			t.Fatalf("%q to %q: %d edits, want %d", old, new, len(edits), least)
		}
		for _, e := range edits {
			if e.sign != '+' {
				before.WriteString(e.text)
			}
			if e.sign != '-' {
				after.WriteString(e.text)
			}
		}
		if before.String() != strings.Join(old, "") || after.String() != strings.Join(new, "") {
			t.Fatalf("%q to %q: the edits give %q and %q", old, new, before.String(), after.String())
		}
	}
}

// A file of which every line was laid out anew is told of as a whole, at a memory that does not run away.
func TestDiffOfManyLines(t *testing.T) {
	for _, lines := range []int{mostChanges / 2, mostChanges} {
		var old, new strings.Builder
		for i := range lines {
			fmt.Fprintf(&old, "  a%d = 1\n", i)
			fmt.Fprintf(&new, "  a%d  = 1\n", i)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		got := Diff("a.squab", old.String(), new.String())
		runtime.ReadMemStats(&after)
		if used := after.TotalAlloc - before.TotalAlloc; used > 200<<20 {
			t.Errorf("%d lines took %d MB", lines, used>>20)
		}
		want := fmt.Sprintf("--- a.squab\n+++ a.squab (tidied)\n@@ -1,%d +1,%d @@\n-", lines, lines) +
			strings.Join(splitLines(old.String()), "-") + "+" + strings.Join(splitLines(new.String()), "+")
		if got != want {
			t.Errorf("the difference of %d lines is not all of them:\n%.300s", lines, got)
		}
	}
}
