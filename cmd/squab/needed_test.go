package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang"
	"squab/lang/diag"
)

// A book of more than a megabyte is read whole, so that a house with a large file of comments beside it tells what cut must give of a smaller one too.
func largeFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "comments.squab")
	put(t, path, "# "+strings.Repeat("nothing", 1<<18)+"\n")
	return path
}

func holdSameCut(t *testing.T, folder, comments string) {
	t.Helper()
	args := []string{"cut", folder, "--by-area", "--format", "jsonl"}
	some, whole := squab("", args...), squab("", append(args, comments)...)
	if diff := cmp.Diff(whole.told(), some.told()); diff != "" {
		t.Errorf("%s is cut otherwise where all of the trade library is read (-all +needed):\n%s", folder, diff)
	}
}

func TestCutReadsAllThatIsNeeded(t *testing.T) {
	comments := largeFile(t)
	holdSameCut(t, exampleCopy(t, func(_, text string) string { return text }), comments)
	mistakes, err := filepath.Glob("../../testdata/check/bad/*.squab")
	if err != nil || len(mistakes) == 0 {
		t.Fatal("no mistakes to try", err)
	}
	for _, i := range rand.New(rand.NewPCG(7, 7)).Perm(len(mistakes))[:30] {
		holdSameCut(t, mistakes[i], comments)
	}
}

// An order alone leads to less of the library than all orders of the example.
func TestCutReadsAllThatOneOrderNeeds(t *testing.T) {
	comments := largeFile(t)
	for _, id := range regexp.MustCompile(`(?m)^order (\S+)`).FindAllStringSubmatch(readFile(t, "../../examples/heron-quay/orders.squab"), -1) {
		holdSameCut(t, exampleCopy(t, func(_, text string) string { return onlyOrder(t, text, id[1]) }), comments)
	}
}

func onlyOrder(t *testing.T, text, id string) string {
	t.Helper()
	return changed(t, text, func(d lang.Decl, said string) string {
		if o, is := d.(*lang.OrderDecl); is && o.ID.Text != id {
			return ""
		}
		return said
	})
}

// changed writes a file's declarations anew.
func changed(t *testing.T, text string, change func(lang.Decl, string) string) string {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	tree := lang.Parse(files.Add("changed", text, diag.House), lang.Limits{}, &problems)
	var b strings.Builder
	for _, d := range tree.Decls {
		b.WriteString(change(d, files.Text(d.Span())) + "\n\n")
	}
	return b.String()
}

// Whatever is wrong with a house is told just as it is where everything is read.
func TestDamagedHousesAreCutTheSame(t *testing.T) {
	comments := largeFile(t)
	trade := ruleNames(t)
	r := rand.New(rand.NewPCG(11, 27))
	for range 24 {
		holdSameCut(t, exampleCopy(t, func(_, text string) string { return damaged(t, r, text, trade) }), comments)
	}
}

func ruleNames(t *testing.T) []string {
	t.Helper()
	var names []string
	paths, _ := filepath.Glob("../../stdlib/trade/*.squab")
	for _, path := range paths {
		for _, m := range regexp.MustCompile(`(?m)^(?:rule|recipe|kind|choice|table) (\w+)`).FindAllStringSubmatch(readFile(t, path), -1) {
			names = append(names, m[1])
		}
	}
	if len(names) < 100 {
		t.Fatalf("the trade library has %d names", len(names))
	}
	return names
}

var word = regexp.MustCompile(`\b[a-z_]+\b`)

// damaged leaves out a declaration now and then, puts a name of the trade where another word stood, amends a rule of the trade.
func damaged(t *testing.T, r *rand.Rand, text string, trade []string) string {
	t.Helper()
	name := func() string { return trade[r.IntN(len(trade))] }
	text = changed(t, text, func(_ lang.Decl, said string) string {
		switch r.IntN(200) {
		case 0:
			return ""
		case 1:
			at := word.FindAllStringIndex(said, -1)
			i := at[r.IntN(len(at))]
			return said[:i[0]] + name() + said[i[1]:]
		}
		return said
	})
	if r.IntN(9) == 0 {
		text += "\namend " + name() + " = " + []string{"1/2 in", "3", name(), "no", name() + "(2 in)"}[r.IntN(5)] + "\n"
	}
	return text
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
