package lang

import (
	"strings"
	"testing"
	"unicode"

	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

// stretchOf is what a token, a comment or a problem covers of a source, in bytes of it.
type stretchOf struct {
	from, to int
	what     string
}

// FuzzScan holds that tokens and comments stand in order, apart, where they say, and that whatever lies between them is blank or is told of.
func FuzzScan(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		var files diag.Files
		var problems diag.List
		files.Add("before", "x", diag.Trade)
		src := files.Add("fuzz", text, diag.House)
		s := newScanner(src, Limits{}.withDefaults(), &problems)
		s.scan()
		told := make([]bool, len(text)+1)
		for _, d := range problems.All() {
			if d.Code == "nesting-too-deep" {
				t.Skip("what lies too deep is told of once")
			}
			for i := d.At.Start - src.Base; i < d.At.End-src.Base; i++ {
				told[i] = true
			}
		}
		at := 0
		for _, x := range covered(t, src, s) {
			if x.from < at {
				t.Fatalf("%q at %d begins before %d", x.what, x.from, at)
			}
			onlyBlank(t, text, at, x.from, told)
			at = x.to
		}
		if !s.stopped {
			onlyBlank(t, text, at, len(text), told)
		}
	})
}

// covered lists tokens and comments by their places.
func covered(t *testing.T, src *diag.Source, s *scanner) []stretchOf {
	t.Helper()
	if last := s.tokens[len(s.tokens)-1]; last.Type != lexer.EOF {
		t.Fatalf("the last token is %q", last.Value)
	}
	var all []stretchOf
	comments := s.comments
	for i := range s.tokens {
		token := &s.tokens[i]
		at := spanOf(token)
		for len(comments) > 0 && comments[0].At.Start < at.Start {
			all = append(all, stretchOf{int(comments[0].At.Start - src.Base), int(comments[0].At.End - src.Base), comments[0].Text})
			comments = comments[1:]
		}
		if said := src.Slice(at); said != token.Value && token.Value != "=" {
			t.Errorf("the token %q stands where %q does", token.Value, said)
		}
		if line := 1 + strings.Count(src.Text[:at.Start-src.Base], "\n"); token.Pos.Line != line && token.Type != lexer.EOF {
			t.Errorf("the token %q is told on line %d, and stands on line %d", token.Value, token.Pos.Line, line)
		}
		all = append(all, stretchOf{int(at.Start - src.Base), int(at.End - src.Base), token.Value})
	}
	return all
}

// onlyBlank holds that nothing stands from, to but blanks, or what was told of.
func onlyBlank(t *testing.T, text string, from, to int, told []bool) {
	t.Helper()
	for i, r := range text[from:to] {
		if !unicode.IsSpace(r) && r != '\ufeff' && !told[from+i] {
			t.Fatalf("%q at %d is neither in a token nor told of", r, from+i)
		}
	}
}
