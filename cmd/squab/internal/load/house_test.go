package load

import (
	"errors"
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang"
	"squab/lang/diag"
)

// smallTrade is a trade library of a few declarations, of which a house may need some.
const smallTrade = `rule hem: length = 2 in
rule flap: length = hem + 1 in
rule spare: length = twice_spare
rule twice_spare: length = 9 in
caution knives "Keep the blades shut."
`

func tradeOf(texts ...string) func(*diag.Files) []*diag.Source {
	return func(files *diag.Files) []*diag.Source {
		var all []*diag.Source
		for i, text := range texts {
			all = append(all, files.Add("trade/"+string(rune('a'+i))+".squab", text, diag.Trade))
		}
		return all
	}
}

func ruleNames(b *Book) []string {
	var names []string
	for _, r := range b.Program.Rules {
		names = append(names, r.Name)
	}
	return names
}

// TestNeededRulesAreThoseThatTheHouseLeadsTo reads of the library what the house names, and what that names; all of it where a flag does not ask for
// less, where the house is large, or where anything is wrong.
func TestNeededRulesAreThoseThatTheHouseLeadsTo(t *testing.T) {
	const house = "rule edge: length = flap\n"
	all := []string{"hem", "flap", "spare", "twice_spare", "edge"}
	for name, c := range map[string]struct {
		house  string
		needed bool
		want   []string
	}{
		"needed":                        {house, true, []string{"hem", "flap", "edge"}},
		"nothing of it":                 {"rule own: length = 1 in\n", true, []string{"own"}},
		"whole":                         {house, false, all},
		"an error of syntax":            {house + "rule = 3\n", true, all},
		"an error of kinds":             {house + "rule odd: length = hem + 1 min\n", true, append(all[:5:5], "odd")},
		"a word in a comment":           {house + "# spare\n", true, []string{"hem", "flap", "edge"}},
		"a house of more than a MiB":    {house + "# " + strings.Repeat("x", maxNeeded) + "\n", true, all},
		"a house of less than a MiB":    {house + "# " + strings.Repeat("x", maxNeeded/2) + "\n", true, []string{"hem", "flap", "edge"}},
		"an amendment of what it leads": {house + "amend hem = 3 in\n", true, []string{"hem", "flap", "edge"}},
	} {
		book, err := Open([]string{"-"}, Options{Stdin: strings.NewReader(c.house), Library: tradeOf(smallTrade), Needed: c.needed})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.want, ruleNames(book)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
		if wrong := strings.HasPrefix(name, "an error"); wrong != (book.Errors() > 0) {
			t.Errorf("%s: %v", name, book.Problems)
		}
	}
}

// TestFingerprintIsOfAllThatIsRead holds that what a house needs of the library does not change what its rules are called.
func TestFingerprintIsOfAllThatIsRead(t *testing.T) {
	open := func(needed bool, trade ...string) string {
		book, err := Open([]string{"-"}, Options{Stdin: strings.NewReader("rule edge: length = flap\n"), Library: tradeOf(trade...), Needed: needed})
		if err != nil {
			t.Fatal(err)
		}
		return book.Fingerprint
	}
	if open(true, smallTrade) != open(false, smallTrade) {
		t.Error("what is needed has a fingerprint of its own")
	}
	if open(true, smallTrade) == open(true, strings.Replace(smallTrade, "9 in", "8 in", 1)) {
		t.Error("a change of what is not needed is not in the fingerprint")
	}
}

// TestMistakesAreThoseOfTheirOrders has a mistake concern the order in which it lies, each order that it names, a proof, or none.
func TestMistakesAreThoseOfTheirOrders(t *testing.T) {
	const good = "order 2 {\n  make mat\n  wide = 3 in\n}\n"
	for name, c := range map[string]struct {
		text string
		want []int // how many errors each order has
	}{
		"one that is wrong":              {"order 1 {\n  make mat\n  wide = 3 min\n}\n" + good, []int{1, 0}},
		"two mistakes in one":            {"order 1 {\n  make mat\n  wide = 3 min\n  deep = 3 in\n}\n" + good, []int{2, 0}},
		"two of one number":              {good + good, []int{1, 1}},
		"a mistake between two":          {good + "rule = 4\n" + strings.Replace(good, "2", "3", 1), []int{0, 0}},
		"a mistake of syntax at the end": {good + "order 3 {\n  make mat\n  wide = 3 in in }", []int{0, 1}},
	} {
		book := checked(t, kinds+c.text)
		var got []int
		for _, o := range book.Program.Orders {
			got = append(got, len(book.ProblemsOf(o)))
			if o.Bad != (len(book.ProblemsOf(o)) > 0) {
				t.Errorf("%s: order %s is bad: %v, and has problems %v", name, o.ID, o.Bad, book.ProblemsOf(o))
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// TestAProofIsRefusedForItsOwnMistakes keeps the rules and the orders sound beside a proof that cannot be read.
func TestAProofIsRefusedForItsOwnMistakes(t *testing.T) {
	const proof = "proof \"A mat\" source \"worked by hand\" {\n  make mat\n  wide = 3 in\n  expect wide = 3 in\n}\n"
	book := checked(t, kinds+strings.Replace(proof, "wide = 3 in\n  expect", "wide = = 3 in\n  expect", 1)+strings.Replace(proof, "A mat", "Another", 1))
	if len(book.Program.Proofs) != 2 || !book.Program.Sound {
		t.Fatalf("%d proofs, sound %v: %v", len(book.Program.Proofs), book.Program.Sound, book.Problems)
	}
	for i, want := range []bool{true, false} {
		if p := book.Program.Proofs[i]; p.Bad != want || (len(book.ProblemsOf(p)) > 0) != want {
			t.Errorf("proof %s is refused: %v, for %v", p.ID, p.Bad, book.ProblemsOf(p))
		}
	}
}

// TestProblemsStandByPlace tells of what the parser found and of what checking found in the order of the file.
func TestProblemsStandByPlace(t *testing.T) {
	book := checked(t, kinds+"order 1 {\n  make mat\n  wide = 3 min\n}\nrule = 4\norder 2 {\n  make mat\n  wide = = 3 in\n}\nrule odd: length = 3 min\n")
	var lines []int
	for _, d := range book.Problems {
		lines = append(lines, book.Files.Place(d.At.Start).Line-strings.Count(kinds, "\n"))
	}
	if diff := cmp.Diff([]int{3, 5, 8, 10}, lines); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// sourceNames names the sources of trees; what has none was put in.
func sourceNames(trees []*lang.File) []string {
	names := []string{}
	for _, t := range trees {
		if t.Source == nil {
			names = append(names, "put in")
			continue
		}
		names = append(names, t.Source.Name)
	}
	return names
}

func TestPairsShareWhatBelongsToBoth(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "old/a.squab", "rule a: length = 1 in\n")
	put(t, "old/b.squab", "rule b: length = = 1 in\n")
	put(t, "new.squab", "rule a: length = 2 in\n")
	put(t, "orders.squab", "rule c: length = 3 in\n")
	pair, err := OpenPair([]string{"old"}, []string{"new.squab"}, []string{"orders.squab"}, Options{Library: tradeOf(smallTrade)})
	if err != nil {
		t.Fatal(err)
	}
	got := [][]string{sourceNames(pair.Old.Trade), sourceNames(pair.Old.House), sourceNames(pair.New.Trade), sourceNames(pair.New.House)}
	want := [][]string{{"trade/a.squab"}, {"old/a.squab", "old/b.squab", "orders.squab"}, {"trade/a.squab"}, {"new.squab", "orders.squab"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if len(pair.Problems) != 1 || pair.Files.Place(pair.Problems[0].At.Start).File != "old/b.squab" {
		t.Errorf("the problems are %v", pair.Problems)
	}
	if _, err := OpenPair([]string{"old"}, []string{"gone"}, nil, Options{}); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}

// TestAKeptBookStandsBesideTodays has each side changed by its own, and the trade library of both be one where it has not changed.
func TestAKeptBookStandsBesideTodays(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "today.squab", "rule a: length = 2 in\n")
	kept := &diag.Files{}
	tradeOf(smallTrade)(kept)
	kept.Add("kept.squab", "rule a: length = 1 in\n", diag.House)
	note := func(name string) Side {
		return func(_ *diag.Files, trees []*lang.File) ([]*lang.File, []diag.Diagnostic) {
			return append(trees, &lang.File{}), []diag.Diagnostic{{Code: name, Message: strings.Join(sourceNames(trees), " ")}}
		}
	}
	for today, same := range map[string]bool{smallTrade: true, smallTrade + "rule more: length = 1 in\n": false} {
		pair, err := OpenAgainst(kept, note("old"), []string{"today.squab"}, note("new"), Options{Library: tradeOf(today)})
		if err != nil {
			t.Fatal(err)
		}
		want := []diag.Diagnostic{{Code: "old", Message: "trade/a.squab kept.squab"}, {Code: "new", Message: "trade/a.squab today.squab"}}
		if diff := cmp.Diff(want, pair.Problems); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
		if diff := cmp.Diff([][]string{{"kept.squab", "put in"}, {"today.squab", "put in"}}, [][]string{sourceNames(pair.Old.House), sourceNames(pair.New.House)}); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
		if (pair.Old.Trade[0] == pair.New.Trade[0]) != same {
			t.Errorf("the trade library has not changed: %v, and is one for both: %v", same, !same)
		}
	}
	if _, err := OpenAgainst(kept, note("old"), []string{"gone"}, note("new"), Options{}); !errors.Is(err, fs.ErrNotExist) {
		t.Error(err)
	}
}
