package lang

import (
	"fmt"
	"strings"
	"testing"

	"squab/lang/diag"
	"squab/lang/diag/benchtest"
)

// bookOf gives about size bytes of a house's book: the reference's examples, each copy under names of its own.
func bookOf(t testing.TB, size int) string {
	t.Helper()
	var b strings.Builder
	blocks := referenceBlocks(t)
	for i := 0; b.Len() < size; i++ {
		for _, example := range blocks {
			names := strings.NewReplacer("strapped_pad", fmt.Sprintf("pad_%d", i), "strip_wide", fmt.Sprintf("strip_%d", i))
			names.WriteString(&b, example.Text)
		}
	}
	return b.String()
}

func BenchmarkParse(b *testing.B) {
	text := bookOf(b, 1<<20)
	theGrammar()
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		parseText(text)
	}
	clock.Rate(b, float64(len(text)*b.N)/1e6, "MB")
}

func BenchmarkScan(b *testing.B) {
	text := bookOf(b, 1<<20)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	clock := benchtest.Start()
	for b.Loop() {
		var files diag.Files
		var problems diag.List
		s := newScanner(files.Add("test.squab", text, diag.House), Limits{}.withDefaults(), &problems)
		s.scan()
		b.ReportMetric(float64(len(text))/float64(len(s.tokens)), "bytes/token")
	}
	clock.Rate(b, float64(len(text)*b.N)/1e6, "MB")
}

func BenchmarkGrammar(b *testing.B) {
	for b.Loop() {
		buildGrammar()
	}
}
