// Package diagtest holds problems against what a source says of itself: the problem that a line should have stands at
// its end, as a comment.
//
//	gap = 5 in)        # want bracket-extra "closes nothing"
//
// After the code, a part of the message in quotation marks may follow, and further wants after that. Where the comment
// cannot stand on the line (a text that is never closed, say) it stands on the line before as `# want-next CODE "…"`, or
// anywhere as `# want-file CODE "…"` for a problem of no certain line. A problem that is missing and one that is not
// wanted both fail, so a source without wants must be without problems.
package diagtest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"squab/lang/diag"
)

// Want is a problem that a source should have.
type Want struct {
	Line int // from 1; 0 for any
	Code string
	Part string // of the message; "" for any
}

func (w Want) String() string { return fmt.Sprintf("line %d: %s %q", w.Line, w.Code, w.Part) }

func (w Want) fits(line int, d diag.Diagnostic) bool {
	return (w.Line == 0 || w.Line == line) && w.Code == d.Code && strings.Contains(d.Message, w.Part)
}

// Wants gives what a source says it should have; an error where a want cannot be read.
func Wants(text string) ([]Want, error) {
	form := regexp.MustCompile(`# *want(-next|-file)?\b *([a-z0-9-]*)(?: +("(?:[^"\\]|\\.)*"))?`)
	var wants []Want
	for i, line := range strings.Split(text, "\n") {
		for _, found := range form.FindAllStringSubmatch(line, -1) {
			w := Want{Line: i + 1, Code: found[2]}
			switch found[1] {
			case "-next":
				w.Line++
			case "-file":
				w.Line = 0
			}
			part, err := strconv.Unquote(found[3])
			if found[3] != "" && err != nil || w.Code == "" {
				return nil, fmt.Errorf("line %d: %q is not a want: write # want CODE \"part of the message\"", i+1, found[0])
			}
			w.Part = part
			wants = append(wants, w)
		}
	}
	return wants, nil
}

// Compare fails the test for each problem that src wants and got lacks, and for each of got that src does not want.
func Compare(t testing.TB, src *diag.Source, got []diag.Diagnostic) {
	t.Helper()
	missing, surplus, err := Match(src, got)
	if err != nil {
		t.Fatalf("%s: %v", src.Name, err)
	}
	for _, w := range missing {
		t.Errorf("%s: the problem is missing: %v", src.Name, w)
	}
	for _, d := range surplus {
		t.Errorf("%s: %s was not wanted at line %d: %s\n\t%s", src.Name, d.Code, lineOf(src, d), d.Message, src.Line(lineOf(src, d)))
	}
}

// Match gives the wants of src that nothing in got fits, and what in got fits no want; each fits one at most.
func Match(src *diag.Source, got []diag.Diagnostic) (missing []Want, surplus []diag.Diagnostic, err error) {
	missing, err = Wants(src.Text)
	if err != nil {
		return nil, nil, err
	}
	for _, d := range got {
		if i := indexFitting(missing, lineOf(src, d), d); i >= 0 {
			missing = append(missing[:i], missing[i+1:]...)
			continue
		}
		surplus = append(surplus, d)
	}
	return missing, surplus, nil
}

func indexFitting(wants []Want, line int, d diag.Diagnostic) int {
	for i, w := range wants {
		if w.fits(line, d) {
			return i
		}
	}
	return -1
}

func lineOf(src *diag.Source, d diag.Diagnostic) int {
	if d.At.Start < src.Base {
		return d.Place.Line
	}
	return src.Place(d.At.Start).Line
}

// Folder runs find over every .squab file of a folder, each as a test of its own, and compares. It fails where the folder
// has none.
func Folder(t *testing.T, folder string, find func(src *diag.Source, files *diag.Files, problems *diag.List)) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "*.squab"))
	if err != nil || len(names) == 0 {
		t.Fatalf("%s has no .squab files (%v)", folder, err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			var files diag.Files
			var problems diag.List
			src := files.Add(filepath.Base(name), string(text), diag.House)
			find(src, &files, &problems)
			Compare(t, src, problems.All())
		})
	}
}
