package check_test

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

var update = flag.Bool("update", false, "write the golden file of messages")

// told writes a problem as a person reads it: the line, what was found, each further place, the fix.
func told(files *diag.Files, d diag.Diagnostic) string {
	var b strings.Builder
	src := files.Source(d.At.Start)
	place := src.Place(d.At.Start)
	line, _, _ := strings.Cut(src.Line(place.Line), "# want")
	fmt.Fprintf(&b, "  %s\n  %s%s %s\n", strings.TrimRight(line, " "), strings.Repeat(" ", place.Column-1), marks(files.Text(d.At)), d.Message)
	for _, r := range d.Related {
		fmt.Fprintf(&b, "    %s: %q\n", r.Note, firstLine(files.Text(r.At)))
	}
	for _, n := range d.Notes {
		fmt.Fprintf(&b, "    %s\n", n)
	}
	if d.Help != "" {
		fmt.Fprintf(&b, "    help: %s\n", d.Help)
	}
	return b.String()
}

func marks(text string) string { return strings.Repeat("~", max(1, len([]rune(firstLine(text))))) }

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return strings.TrimRight(line, " ")
}

// Every message with its marks, further places and fix, as a person will read it, kept so that a change of wording is seen.
func TestMessages(t *testing.T) {
	var b strings.Builder
	for _, folder := range []string{"check/bad", "tables/bad"} {
		names, _ := filepath.Glob(filepath.Join(testdata, folder, "*.squab"))
		for _, name := range names {
			if filepath.Base(name) == "loops-too-many.squab" || filepath.Base(name) == "proof-too-large.squab" {
				continue // their lines are as long as they must be
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files, problems := &diag.Files{}, &diag.List{}
			checkOver(t, files.Add(filepath.Base(name), string(text), diag.House), files, problems)
			fmt.Fprintf(&b, "%s/%s\n", folder, filepath.Base(name))
			for _, d := range problems.All() {
				b.WriteString(told(files, d))
			}
		}
	}
	golden := filepath.Join(testdata, "check", "messages.golden")
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); diff != "" {
		t.Errorf("messages differ (-want +got); go test ./eval/check -run Messages -update writes them:\n%s", diff)
	}
}
