package trace_test

import (
	"strings"
	"testing"

	"squab/eval/trace"
	"squab/lang/diag"
)

// Reasons whose characters take two columns, or none, stay within the page and fill it.
func TestTracesStayWithinThePageInColumns(t *testing.T) {
	for _, word := range []string{"布地の幅", "e\u0301toffe\u0301", "Stoff", "🪑🪑"} {
		n := &trace.Node{Name: "drop", Shown: "3 in", Because: strings.TrimSpace(strings.Repeat(word+" ", 60))}
		text := trace.Text(n, &diag.Files{}, 80)
		widest := 0
		for line := range strings.Lines(text) {
			widest = max(widest, diag.Columns(strings.TrimSuffix(line, "\n")))
		}
		if widest > 80 || widest < 80-diag.Columns(word) {
			t.Errorf("the widest line of %s is %d columns:\n%s", word, widest, text)
		}
	}
}
