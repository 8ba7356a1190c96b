package lang

import (
	"os"
	"strings"
	"testing"

	"squab/lang/diag"
)

// block is one fenced example of the reference that is no command line.
type block struct {
	Info string // what stands after the fence: "squab", "squab alone", "squab wrong: CODE"
	Text string
}

func referencePage(t testing.TB) string {
	t.Helper()
	page, err := os.ReadFile("REFERENCE.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

func referenceBlocks(t testing.TB) []block {
	t.Helper()
	var blocks []block
	for i, part := range strings.Split(referencePage(t), "```") {
		if info, text, _ := strings.Cut(part, "\n"); i%2 == 1 && info != "sh" {
			blocks = append(blocks, block{strings.TrimSpace(info), text})
		}
	}
	return blocks
}

// parseText parses a text of its own book.
func parseText(text string) (*File, *diag.List, *diag.Files) {
	var files diag.Files
	var problems diag.List
	f := Parse(files.Add("test.squab", text, diag.House), Limits{}, &problems)
	return f, &problems, &files
}

func TestReferenceExamplesParse(t *testing.T) {
	blocks := referenceBlocks(t)
	if len(blocks) < 10 {
		t.Fatalf("the reference has %d examples, want at least 10", len(blocks))
	}
	for _, b := range blocks {
		f, problems, files := parseText(b.Text)
		if len(f.Decls) == 0 {
			t.Errorf("no declaration was read in\n%s", b.Text)
		}
		for _, d := range problems.All() {
			p := files.Place(d.At.Start)
			t.Errorf("%s: %s, at %d:%d in\n%s", d.Code, d.Message, p.Line, p.Column, b.Text)
		}
	}
}
