package lang

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

var update = flag.Bool("update", false, "write the golden trees anew")

// The trees of the good files, and of the bad ones as far as they could be read.
func TestGoldenTrees(t *testing.T) {
	for _, folder := range []string{"lex/good", "parse/good", "parse/bad"} {
		names, _ := filepath.Glob(filepath.Join("..", "testdata", folder, "*.squab"))
		if len(names) == 0 {
			t.Fatalf("no sources in %s", folder)
		}
		got := ""
		for _, name := range names {
			got += "# " + filepath.Base(name) + "\n" + dump(parseFile(t, name).Decls) + "\n\n"
		}
		compareGolden(t, filepath.Join("..", "testdata", folder+".tree"), got)
	}
}

func parseFile(t *testing.T, name string) *File {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var files diag.Files
	return Parse(files.Add(name, string(text), diag.House), Limits{}, &diag.List{})
}

// Every problem of the bad files in full, as a reader would meet it.
func TestGoldenProblems(t *testing.T) {
	for _, room := range []string{"lex", "parse"} {
		names, _ := filepath.Glob(filepath.Join("..", "testdata", room, "bad", "*.squab"))
		if len(names) == 0 {
			t.Fatalf("no sources in %s", room)
		}
		got := ""
		for _, name := range names {
			got += problemsOf(t, name) + "\n"
		}
		compareGolden(t, filepath.Join("..", "testdata", room, "bad.problems"), got)
	}
}

func problemsOf(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var files diag.Files
	var problems diag.List
	Parse(files.Add(filepath.Base(name), string(text), diag.House), Limits{}, &problems)
	var b strings.Builder
	for _, d := range problems.All() {
		p := files.Place(d.At.Start)
		fmt.Fprintf(&b, "%s:%d:%d: %v %s: %s\n", p.File, p.Line, p.Column, d.Severity, d.Code, d.Message)
		fmt.Fprintf(&b, "  at    %.60q\n", files.Text(d.At))
		for _, r := range d.Related {
			fmt.Fprintf(&b, "  note  %.60q: %s\n", files.Text(r.At), r.Note)
		}
		if d.Help != "" {
			fmt.Fprintf(&b, "  help  %s\n", d.Help)
		}
	}
	return b.String()
}

// No message may show the names of the interpreter's own types.
func TestMessagesArePlain(t *testing.T) {
	names, _ := filepath.Glob(filepath.Join("..", "testdata", "*", "bad", "*.squab"))
	if len(names) < 100 {
		t.Fatalf("%d sources", len(names))
	}
	for _, name := range names {
		text := problemsOf(t, name)
		for _, inner := range []string{"Syntax", "syntax", "<ident>", "lexer", "participle", "(expected", "EOF", "%!"} {
			if strings.Contains(text, inner) {
				t.Errorf("%s shows %q:\n%s", filepath.Base(name), inner, text)
			}
		}
	}
}

func compareGolden(t *testing.T, golden, got string) {
	t.Helper()
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
		t.Errorf("%s differs (-want +got); -update writes it anew:\n%s", filepath.Base(golden), diff)
	}
}
