package format

import (
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"squab/lang"
	"squab/lang/diag"
)

var update = flag.Bool("update", false, "write the golden layouts anew")

const testdata = "../../testdata"

func parse(text string) (*lang.File, *diag.List) {
	var files diag.Files
	var problems diag.List
	return lang.Parse(files.Add("test.squab", text, diag.House), lang.Limits{}, &problems), &problems
}

func tidy(t *testing.T, text string) string {
	t.Helper()
	f, _ := parse(text)
	got, err := Format(f)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return got
}

// Source beside its layout. Each layout must also be its own.
func TestLayout(t *testing.T) {
	for _, test := range []struct{ name, source, want string }{
		{"nothing", "", ""},
		{"a comment", "\n\n  # why  \n", "# why\n"},
		{"operators", "rule a:number=2*( b+c )-d/8", "rule a: number = 2 * (b + c) - d / 8\n"},
		{"minus", "rule a: number = - 3 - -b\n", "rule a: number = -3 - -b\n"},
		{"subtraction is no mixed number", "rule a: number = 4 -5/8\n", "rule a: number = 4 - 5/8\n"},
		{"division is no fraction", "rule a: number = 5 /8\n", "rule a: number = 5 / 8\n"},
		{"measures", "rule a: length = 3'4-5/8\"+5in+4  ½ in\n", "rule a: length = 3' 4-5/8\" + 5 in + 4 ½ in\n"},
		{"typographic marks stay", "rule a: length = 3′ 4” − 2 × b\n", "rule a: length = 3′ 4” − 2 × b\n"},
		{"money", "rule a: money per length = $ 41.50 per  yd * 15%\n", "rule a: money per length = $41.50 per yd * 15%\n"},
		{"calls", "rule a: length = max( b ,c [ 2 ] . wide, key : (d) )\n", "rule a: length = max(b, c[2].wide, key: (d))\n"},
		{"holes", "caution a \"cut { b+1 } and {c}\"\n", "caution a \"cut {b + 1} and {c}\"\n"},
		{"a division by no", "rule a: number = b / no\n", "rule a: number = b / no\n"},
		{
			"charges", "price {\ncharge a = $1\ncharge bcd = $2 because \"so\"\n}\n",
			"price {\n  charge a   = $1\n  charge bcd = $2  because \"so\"\n}\n",
		},
		{
			"texts in brackets", "recipe a \"A\" {\nask b: text = f(\"x\") \"left\"\nask cdefghijk: text \"right\"\n}\n",
			"recipe a \"A\" {\n  ask b: text = f(\"x\")  \"left\"\n  ask cdefghijk: text   \"right\"\n}\n",
		},
		{"yes/no", "rule a: yes / no = b is not c\n", "rule a: yes/no = b is not c\n"},
		{
			"a body in one line", `shop "Heron Quay Workroom" { currency = USD shows = 1/16 in }`,
			"shop \"Heron Quay Workroom\" {\n  currency = USD\n  shows    = 1/16 in\n}\n",
		},
		{"an empty body", `recipe a "A" {}`, "recipe a \"A\" {\n}\n"},
		{
			"cases", "rule a(b: c): length{\n5/8 in when b is d because \"why\"\n1 1/2 in otherwise}",
			"rule a(b: c): length {\n  5/8 in    when b is d  because \"why\"\n  1 1/2 in  otherwise\n}\n",
		},
		{
			"cases below nothing", "rule a(b: length): length {\n-1/8 in when b > 2 in\n- 1 in\n-1/4 in otherwise}",
			"rule a(b: length): length {\n  -1/8 in  when b > 2 in\n      - 1 in\n  -1/4 in  otherwise\n}\n",
		},
		{
			"a table", "table a(b: length): length {\nb|gives|because\n# thin\nup to 1/8 in|1 in|\nany|10 1/2 in|\"so\"\n}",
			"table a(b: length): length {\n  b            | gives     | because\n  # thin\n  up to 1/8 in | 1 in      |\n  any          | 10 1/2 in | \"so\"\n}\n",
		},
		{
			"options", "recipe a \"A\" {\npiece b from c = d by d {up=deep}\npiece e from c = d by d {up=deep\nturn=yes}\n}",
			"recipe a \"A\" {\n  piece b from c = d by d { up = deep }\n  piece e from c = d by d {\n    up   = deep\n    turn = yes\n  }\n}\n",
		},
		{
			"one option over lines", "recipe a \"A\" {\npiece b from c = d by d {\nup=deep\n}\npiece e from c = d by d { up = deep # so\n}\n}",
			"recipe a \"A\" {\n  piece b from c = d by d {\n    up = deep\n  }\n  piece e from c = d by d {\n    up = deep  # so\n  }\n}\n",
		},
		{
			"asks", "recipe a \"A\" {\nask b: length \"left\" because \"so\"\nask cd: length = 1 in because \"so\"\nask efg: yes/no \"right\"\n}",
			"recipe a \"A\" {\n  ask b: length    \"left\"  because \"so\"\n  ask cd: length = 1 in    because \"so\"\n  ask efg: yes/no  \"right\"\n}\n",
		},
		{
			"a formula over lines", "recipe a \"A\" {\nb = c\n+ d # first\n# then\n+ e\nfg = h\n}",
			"recipe a \"A\" {\n  b = c\n      + d  # first\n      # then\n      + e\n  fg = h\n}\n",
		},
		{
			"blank lines", "unit a = 1 in\nunit bc = 2 in\n\n\n\nunit d = 3 in\nrecipe e \"E\" {\n\n f = 1\n\n\n g = 2\n\n}\n# of h\nunit h = 4 in\n",
			"unit a  = 1 in\nunit bc = 2 in\n\nunit d = 3 in\n\nrecipe e \"E\" {\n  f = 1\n\n  g = 2\n}\n\n# of h\nunit h = 4 in\n",
		},
		{
			"comments", "# top\nshop \"A\" { # opens\n# own\na = 1 # one\nbcd = 2 # two\n# last\n} # closes\n",
			"# top\nshop \"A\" {  # opens\n  # own\n  a   = 1  # one\n  bcd = 2  # two\n  # last\n}  # closes\n",
		},
		{
			"a comment before the brace", "recipe a \"A\" # why\n{\nb = 1\n}\n",
			"recipe a \"A\"  # why\n{\n  b = 1\n}\n",
		},
		{
			"columns far apart are left", "recipe a \"A\" {\nb = 1\na_name_that_is_far_longer_than_its_neighbours = 2\n}\n",
			"recipe a \"A\" {\n  b = 1\n  a_name_that_is_far_longer_than_its_neighbours = 2\n}\n",
		},
		{
			"characters of two columns and of none", "recipe a \"A\" {\n布 = 1 # 一\nbc = 22 # b\nd = \"é\" # c\n}\n",
			"recipe a \"A\" {\n  布 = 1    # 一\n  bc = 22   # b\n  d  = \"é\"  # c\n}\n",
		},
		{
			"fields of two columns", "table a(b: c): text {\nb|gives\n布|\"d\"\nany|\"e\"\n}",
			"table a(b: c): text {\n  b   | gives\n  布  | \"d\"\n  any | \"e\"\n}\n",
		},
		{"windows lines", "unit a = 1 in\r\n# b\r\n", "unit a = 1 in\n# b\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := tidy(t, test.source)
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Errorf("the layout differs (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(got, tidy(t, got)); diff != "" {
				t.Errorf("the layout is not its own (-once +twice):\n%s", diff)
			}
		})
	}
}

// Neighbours share their columns where these stand no farther than column 100 from the left, and no line is padded by more than 32.
func TestHowFarColumnsAreShared(t *testing.T) {
	cells := func(names ...int) string {
		var b strings.Builder
		for i, n := range names {
			b.WriteString("  " + strings.Repeat(string(rune('a'+i)), n) + "@= 1\n")
		}
		return b.String()
	}
	for _, test := range []struct {
		name    string
		widths  []int
		aligned bool
	}{
		{"padded by 32", []int{1, 33}, true},
		{"padded by 33", []int{1, 34}, false},
		{"to column 100", []int{80, 97}, true},
		{"to column 101", []int{80, 98}, false},
	} {
		most := max(test.widths[0], test.widths[1])
		source := cells(test.widths...)
		var want strings.Builder
		for _, line := range strings.SplitAfter(source, "\n") {
			name, rest, found := strings.Cut(line, "@")
			blanks := 1
			if test.aligned {
				blanks += most + 2 - len(name)
			}
			if found {
				want.WriteString(name + strings.Repeat(" ", blanks) + rest)
			}
		}
		got := tidy(t, "recipe p \"P\" {\n"+strings.ReplaceAll(source, "@", "")+"}\n")
		if diff := cmp.Diff("recipe p \"P\" {\n"+want.String()+"}\n", got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

// A comment behind a line stands two blanks from the longest of its neighbours, unless that is too far.
func TestHowFarCommentsAreShared(t *testing.T) {
	for _, test := range []struct{ long, blanks int }{{92, 100 - len("  a = 1")}, {93, 2}} {
		long := strings.Repeat("b", test.long)
		got := tidy(t, "unit a = 1 in # one\n\nrecipe p \"P\" {\n a = 1 # one\n "+long+" = 2 # two\n\n c = 3 # three\n}\n")
		want := "unit a = 1 in  # one\n\nrecipe p \"P\" {\n  a = 1" + strings.Repeat(" ", test.blanks) + "# one\n  " + long + " = 2  # two\n\n  c = 3  # three\n}\n"
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("a name of %d letters (-want +got):\n%s", test.long, diff)
		}
	}
}

func TestGoldenLayouts(t *testing.T) {
	for _, folder := range []string{"lex", "parse"} {
		names, _ := filepath.Glob(filepath.Join(testdata, folder, "good", "*.squab"))
		if len(names) == 0 {
			t.Fatalf("no sources in %s", folder)
		}
		got := ""
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			got += "=== " + filepath.Base(name) + "\n" + tidy(t, string(text))
		}
		golden := filepath.Join(testdata, folder, "good.tidy")
		if *update {
			if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s: the layouts differ (-want +got); -update writes them anew:\n%s", folder, diff)
		}
	}
}

func TestBrokenFilesAreRefused(t *testing.T) {
	f, _ := parse("unit a = \n")
	got, err := Format(f)
	if err == nil || got != "" || !strings.Contains(err.Error(), "test.squab:1") {
		t.Errorf("got %q, %v; want an error that names the file and the line", got, err)
	}
}

// A layout may be written over the only copy: whatever it would change but blanks is refused.
func TestChangesAreRefused(t *testing.T) {
	before := "# one\nrecipe a \"A\" { # two\n  b = 4 - 5/8\n  c = d\n}\nrule e: number { # three\n  1 when f\n  -2 otherwise\n}\n"
	f, problems := parse(before)
	if problems.HasErrors() {
		t.Fatal(problems.All())
	}
	for _, test := range []struct{ name, old, new string }{
		{"nothing", "", ""},
		{"blanks", "b = 4", "b   =   4"},
		{"a line end", "  c = d", "c\n    = d"},
		{"a token lost", "c = d", "c ="},
		{"a line lost", "  c = d\n", ""},
		{"the last declaration lost", "rule e: number { # three\n  1 when f\n  -2 otherwise\n}\n", "# three\n"},
		{"a line put in", "  c = d\n", "  c = d\n  g = d\n"},
		{"another token", "c = d", "c = e"},
		{"a mixed number", "4 - 5/8", "4-5/8"},
		{"a comment lost", "# two", ""},
		{"another comment", "# two", "# too"},
		{"a comment moved", "{ # two\n  b", "{\n  b # two\n"},
		{"comments changed about", "# one\nrecipe a \"A\" { # two", "# two\nrecipe a \"A\" { # one"},
		{"a case that subtracts", "-2 otherwise", "- 2 otherwise"},
		{"a cell that compares", "  c = d", "    c = d"},
		{"a mistake", "c = d", "c = = d"},
	} {
		text := strings.Replace(before, test.old, test.new, 1)
		harmless := test.name == "nothing" || test.name == "blanks" || test.name == "a line end" || test.name == "a cell that compares"
		if err := verify(f, text); (err == nil) != harmless {
			t.Errorf("%s: %v", test.name, err)
		}
	}
}

// placed is a comment and where it stands: after how many tokens, the last of which is on its line where it is no line of its own.
type placed struct {
	text   string
	behind int
	owns   bool
}

func commentsOf(f *lang.File) []placed {
	tokens := lang.Tokens(f)
	var all []placed
	for _, c := range f.Comments {
		n := 0
		for n < len(tokens) && tokens[n].At.Start < c.At.Start {
			n++
		}
		all = append(all, placed{c.Text, n, c.OwnLine})
	}
	return all
}

// checkLayout holds what a layout must be, whatever the source: of the same tree and comments, and its own layout.
func checkLayout(t *testing.T, text string) {
	t.Helper()
	before, problems := parse(text)
	if problems.HasErrors() {
		return
	}
	once := tidy(t, text)
	after, problems := parse(once)
	if problems.HasErrors() {
		t.Fatalf("the layout cannot be read: %v\n%s", problems.All(), once)
	}
	places := cmpopts.IgnoreTypes(diag.Span{})
	if diff := cmp.Diff(before.Decls, after.Decls, places, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("the layout means something else:\n%s\nof\n%s\nis\n%s", diff, text, once)
	}
	if diff := cmp.Diff(commentsOf(before), commentsOf(after), cmp.AllowUnexported(placed{})); diff != "" {
		t.Errorf("the comments differ:\n%s", diff)
	}
	if twice := tidy(t, once); twice != once {
		t.Errorf("the layout is not its own (-once +twice):\n%s\nof\n%s", cmp.Diff(once, twice), text)
	}
}

// Every source of the project, wherever it stands.
func TestEverySource(t *testing.T) {
	count := 0
	err := filepath.WalkDir("../..", func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() || filepath.Ext(path) != ".squab" {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		count++
		t.Run(filepath.Base(path), func(t *testing.T) { checkLayout(t, string(text)) })
		return nil
	})
	if err != nil || count < 50 {
		t.Errorf("%d sources, %v", count, err)
	}
}

// sources gives every source of the test data and every example of the reference.
func sources(t testing.TB) []string {
	t.Helper()
	names, _ := filepath.Glob(filepath.Join(testdata, "*", "*", "*.squab"))
	page, err := os.ReadFile("../REFERENCE.md")
	if err != nil || len(names) == 0 {
		t.Fatalf("no sources: %v", err)
	}
	var all []string
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, string(text))
	}
	for i, part := range strings.Split(string(page), "```") {
		if _, text, _ := strings.Cut(part, "\n"); i%2 == 1 {
			all = append(all, text)
		}
	}
	return all
}

// damaged changes a source in a few places that are drawn: what stands between two bytes, or what stands in place of one.
func damaged(random *rand.Rand, text string) string {
	between := []string{" ", "\n", "\n\n\n", "\t", "\r\n", "  # so\n", "\n# so\n", "(", ")", "{", "}", " } ", ",", "|", "-", "½", "布", "\"", " = ", " when ", "\u00a0"}
	for range 1 + random.IntN(3) {
		at := random.IntN(len(text) + 1)
		to := min(len(text), at+random.IntN(2)*random.IntN(8))
		text = text[:at] + between[random.IntN(len(between))] + text[to:]
	}
	return text
}

// Whatever was done to a source, a layout of what can still be read is of the same tree, with every comment where it was.
func TestDamagedSources(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	rounds := 30
	if testing.Short() {
		rounds = 6
	}
	read, all := 0, sources(t)
	for _, source := range all {
		for range rounds {
			text := damaged(random, source)
			if _, problems := parse(text); !problems.HasErrors() {
				read++
			}
			checkLayout(t, text)
			if t.Failed() {
				t.Fatalf("the source was\n%s", text)
			}
		}
	}
	if read < rounds*len(all)/20 {
		t.Errorf("only %d of %d damaged sources could be read", read, rounds*len(all))
	}
}

func FuzzFormat(f *testing.F) {
	for _, source := range sources(f) {
		f.Add(source)
	}
	f.Fuzz(checkLayout)
}
