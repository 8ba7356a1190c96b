package load

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func names(texts []Text) []string {
	var all []string
	for _, t := range texts {
		all = append(all, t.Source.Name)
	}
	return all
}

func TestRead(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "shop/b.squab", "rule b: length = 1 in\n")
	put(t, "shop/a.squab", "rule a: length = 1 in\n")
	put(t, "shop/notes.txt", "not read")
	put(t, "shop/deeper/c.squab", "rule c: length = 1 in\n")
	put(t, "alone", "rule alone: length = 1 in\n")
	put(t, "empty/readme", "")
	cases := []struct {
		paths []string
		want  []string
		err   error
	}{
		{[]string{"shop"}, []string{"shop/a.squab", "shop/b.squab"}, nil},
		{[]string{"alone", "shop"}, []string{"alone", "shop/a.squab", "shop/b.squab"}, nil},
		{[]string{"shop/b.squab", "shop", "./shop/a.squab"}, []string{"shop/b.squab", "shop/a.squab"}, nil},
		{[]string{"-", "alone", "-"}, []string{StdinName, "alone"}, nil},
		{[]string{"nowhere"}, nil, fs.ErrNotExist},
		{[]string{"alone", "nowhere"}, []string{"alone"}, fs.ErrNotExist},
		{[]string{"empty"}, nil, errors.ErrUnsupported},
	}
	for _, c := range cases {
		texts, err := Read(&diag.Files{}, c.paths, Options{Stdin: strings.NewReader("rule s: length = 1 in\n")})
		if diff := cmp.Diff(c.want, names(texts)); diff != "" {
			t.Errorf("%v: %s", c.paths, diff)
		}
		if (err == nil) != (c.err == nil) || errors.Is(c.err, fs.ErrNotExist) && !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%v: %v", c.paths, err)
		}
	}
}

func TestReadTellsOfEveryFile(t *testing.T) {
	t.Chdir(t.TempDir())
	_, err := Read(&diag.Files{}, []string{"one", "two"}, Options{})
	if err == nil || !strings.Contains(err.Error(), "one: ") || !strings.Contains(err.Error(), "two: ") {
		t.Error(err)
	}
}

func TestReadKeepsToItsLimit(t *testing.T) {
	texts, err := Read(&diag.Files{}, []string{"-"}, Options{MaxFile: 10, Stdin: strings.NewReader(strings.Repeat("#", 1000))})
	if err != nil || len(texts) != 1 || len(texts[0].Source.Text) != 11 {
		t.Errorf("%v, %d bytes of a file that may have 10", err, len(texts[0].Source.Text))
	}
}

func TestReadErrorIsTold(t *testing.T) {
	lost := errors.New("the disk is gone")
	if _, err := Read(&diag.Files{}, []string{"-"}, Options{Stdin: io.MultiReader(strings.NewReader("rule"), iotest.ErrReader(lost))}); !errors.Is(err, lost) {
		t.Error(err)
	}
}

func TestFirstSign(t *testing.T) {
	for _, c := range []struct {
		text string
		sign byte
		rest string
	}{
		{"", 0, ""},
		{"\ufeff", 0, ""},
		{"order,wide\n", 'o', "order,wide\n"},
		{"\ufefforder,wide\n", 'o', "order,wide\n"},
		{" \r\n\t{}", '{', " \r\n\t{}"},
		{"\ufeff\n[1]", '[', "\n[1]"},
		{strings.Repeat("\n", 2_000) + "{", 0, strings.Repeat("\n", 2_000) + "{"},
	} {
		sign, text := FirstSign(iotest.OneByteReader(strings.NewReader(c.text)))
		rest, err := io.ReadAll(text)
		if sign != c.sign || string(rest) != c.rest || err != nil {
			t.Errorf("%.20q begins with %q, and %.20q is left (%v)", c.text, sign, rest, err)
		}
	}
}

// TestFirstSignWaitsForNoMore reads a stream of which no more has come yet than its beginning.
func TestFirstSignWaitsForNoMore(t *testing.T) {
	in, out := io.Pipe()
	go out.Write([]byte("{\"o"))
	signs := make(chan byte)
	go func() {
		sign, _ := FirstSign(in)
		signs <- sign
	}()
	select {
	case sign := <-signs:
		if sign != '{' {
			t.Errorf("the stream begins with %q", sign)
		}
	case <-time.After(10 * time.Second):
		t.Error("the first sign of a stream waits for more of it")
	}
}

// sourcesOf adds texts by name, in the order given.
func sourcesOf(pairs ...string) []*diag.Source {
	files := &diag.Files{}
	for i := 0; i < len(pairs); i += 2 {
		files.Add(pairs[i], pairs[i+1], diag.House)
	}
	return files.Sources()
}

func TestFingerprint(t *testing.T) {
	base := fingerprint(sourcesOf("shop/a.squab", "one", "shop/b.squab", "two"))
	for name, same := range map[string][]*diag.Source{
		"named the other way round": sourcesOf("shop/b.squab", "two", "shop/a.squab", "one"),
		"in another folder":         sourcesOf("/elsewhere/a.squab", "one", "b.squab", "two"),
	} {
		if fingerprint(same) != base {
			t.Errorf("%s: the fingerprint differs", name)
		}
	}
	trade := &diag.Files{}
	trade.Add("shop/a.squab", "one", diag.Trade)
	trade.Add("shop/b.squab", "two", diag.House)
	for name, other := range map[string][]*diag.Source{
		"a source of the trade's": trade.Sources(),
		"another word":            sourcesOf("shop/a.squab", "one", "shop/b.squab", "too"),
		"another name":            sourcesOf("shop/a.squab", "one", "shop/c.squab", "two"),
		"texts exchanged":         sourcesOf("shop/a.squab", "two", "shop/b.squab", "one"),
		"one file less":           sourcesOf("shop/a.squab", "one"),
		"a text moved over":       sourcesOf("shop/a.squab", "onet", "shop/b.squab", "wo"),
		"one file twice":          sourcesOf("shop/a.squab", "one", "shop/b.squab", "two", "shop/b.squab", "two"),
		"nothing":                 nil,
		"a name with its text":    sourcesOf("shop/a.squabo", "ne", "shop/b.squab", "two"),
	} {
		if fingerprint(other) == base {
			t.Errorf("%s: the fingerprint is the same", name)
		}
	}
}

func checked(t *testing.T, text string) *Book {
	t.Helper()
	book, err := Open([]string{"-"}, Options{Stdin: strings.NewReader(text)})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

const kinds = `kind felt: roll {
  usable: length = 60 in
  price: money per length
  sold: length = 1 yd
}
material grey_felt: felt { price = $9 per yd }
recipe mat {
  ask wide: length
  piece top from grey_felt = wide by 10 in
}
price { charge material = bought }
`

// TestMistakeInOneOrder holds that an order is refused for its own mistakes, of syntax too, and that these do not touch the rules or the others.
func TestMistakeInOneOrder(t *testing.T) {
	for name, bad := range map[string]string{
		"syntax":  "order 1 {\n  make mat\n  wide = = 3 in\n}\n",
		"kind":    "order 1 {\n  make mat\n  wide = 3 min\n}\n",
		"missing": "order 1 {\n  make mat\n}\n",
	} {
		book := checked(t, kinds+bad+"order 2 {\n  make mat\n  wide = 3 in\n}\n")
		if !book.Program.Sound {
			t.Errorf("%s: the rules are called unsound: %v", name, book.Problems)
		}
		if len(book.Program.Orders) != 2 || !book.Program.Orders[0].Bad || book.Program.Orders[1].Bad {
			t.Errorf("%s: not the one order is refused", name)
			continue
		}
		if len(book.ProblemsOf(book.Program.Orders[0])) == 0 || len(book.ProblemsOf(book.Program.Orders[1])) != 0 {
			t.Errorf("%s: the problems are not those of the order", name)
		}
	}
}

func TestMistakeInTheRules(t *testing.T) {
	book := checked(t, kinds+"rule flap: length = = 1 in\norder 2 {\n  make mat\n  wide = 3 in\n}\n")
	if book.Program.Sound || book.Errors() != 1 {
		t.Errorf("sound %v, %d errors", book.Program.Sound, book.Errors())
	}
}

func TestTwoOrdersOfOneNumber(t *testing.T) {
	order := "order 2 {\n  make mat\n  wide = 3 in\n}\n"
	book := checked(t, kinds+order+order)
	for i, o := range book.Program.Orders {
		if !o.Bad || len(book.ProblemsOf(o)) == 0 {
			t.Errorf("of two orders with one number, number %d is taken", i+1)
		}
	}
}
