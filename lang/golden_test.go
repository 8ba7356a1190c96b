package lang

import (
	"flag"
	"os"
	"path/filepath"
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
		golden := filepath.Join("..", "testdata", filepath.Dir(folder), filepath.Base(folder)+".tree")
		if *update {
			if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s: the trees differ (-want +got); -update writes them anew:\n%s", folder, diff)
		}
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
