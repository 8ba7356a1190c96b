package format

import (
	"math/rand/v2"
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

// Whatever the texts, the edits take the old to the new.
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
		for _, e := range compare(old, new) {
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
