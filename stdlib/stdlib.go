// Package stdlib holds the trade library: kinds of material, rules, recipes and cautions in the language itself,
// which lie beneath every house's own files.
package stdlib

import (
	"embed"
	"io/fs"

	"squab/lang/diag"
)

//go:embed trade/*.squab
var trade embed.FS

// AddTo adds every source of the trade library to files, sorted by name: "trade/allowances.squab" and so on. All have the layer Trade.
func AddTo(files *diag.Files) []*diag.Source {
	names, _ := fs.Glob(trade, "trade/*.squab") // sorted; the pattern is well formed
	sources := make([]*diag.Source, 0, len(names))
	for _, name := range names {
		text, err := trade.ReadFile(name)
		if err != nil {
			continue // an embedded file that Glob names can be read
		}
		sources = append(sources, files.Add(name, string(text), diag.Trade))
	}
	return sources
}
