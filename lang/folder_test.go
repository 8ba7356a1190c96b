package lang

import (
	"path/filepath"
	"testing"

	"squab/lang/diag"
	"squab/lang/diag/diagtest"
)

// Each file of a bad folder holds one mistake, and says on its line which; a good file is without problems.
func TestFolders(t *testing.T) {
	for _, folder := range []string{"lex/good", "lex/bad", "parse/good", "parse/bad"} {
		t.Run(folder, func(t *testing.T) {
			diagtest.Folder(t, filepath.Join("..", "testdata", folder), func(src *diag.Source, _ *diag.Files, problems *diag.List) {
				Parse(src, Limits{}, problems)
			})
		})
	}
}
