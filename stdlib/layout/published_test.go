package layout_test

import (
	"bufio"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"squab/stdlib/layout"
	"squab/stdlib/layout/verify"
)

// The published instances stand outside the project, each with its paper and
// where it was had in the index beside it:
//   - strip: Hopper and Turton 2001 (C), Burke, Kendall and Whitwell 2004 (N);
//     the optimum is known by construction, no cloth being lost.
//   - stock: Falkenauer 1996; Scholl, Klein and Jürgens 1997; Wäscher and Gau 1996.
//   - sheet: Beasley 1985; Christofides and Whitlock 1977; Wang 1983; Oliveira and
//     Ferreira 1990; bin packing of Berkey and Wang 1987.

// checksFolder finds the outside checks: SQUAB_CHECKS, or shared/checks beside the
// repository.
func checksFolder(tb testing.TB) string {
	tb.Helper()
	if dir := os.Getenv("SQUAB_CHECKS"); dir != "" {
		return dir
	}
	dir, err := os.Getwd()
	if err != nil {
		tb.Fatal(err)
	}
	for {
		if found := filepath.Join(dir, "shared", "checks"); isFolder(found) {
			return found
		}
		up := filepath.Dir(dir)
		if up == dir {
			tb.Skip("the published instances are not here: set SQUAB_CHECKS to their folder")
		}
		dir = up
	}
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// index reads an index's rows by column name.
func index(tb testing.TB, path string) []map[string]string {
	tb.Helper()
	f, err := os.Open(path)
	if err != nil {
		tb.Skipf("no index of published instances: %v", err)
	}
	defer f.Close()
	reader := csv.NewReader(f)
	reader.FieldsPerRecord = -1
	rows, err := reader.ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i := range min(len(row), len(rows[0])) {
			named[rows[0][i]] = row[i]
		}
		out = append(out, named)
	}
	return out
}

func numbers(tb testing.TB, path string) []int64 {
	tb.Helper()
	f, err := os.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	var out []int64
	words := bufio.NewScanner(f)
	words.Split(bufio.ScanWords)
	for words.Scan() {
		n, err := strconv.ParseInt(words.Text(), 10, 64)
		if err != nil {
			tb.Fatalf("%s: %v", path, err)
		}
		out = append(out, n)
	}
	return out
}

func whole(tb testing.TB, text string) int64 {
	tb.Helper()
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		tb.Fatal(err)
	}
	return n
}

// outcome is one line of the table.
type outcome struct {
	name           string
	want, got      int64
	proved, sound  bool
	took           time.Duration
	work           int64
	overHundredths int64 // hundredths of a percent over the optimum
}

func (o outcome) String() string {
	return fmt.Sprintf("%-20s want %6d got %6d  over %d.%02d %%  proved %-5v sound %-5v %6d ms  work %d",
		o.name, o.want, o.got, o.overHundredths/100, o.overHundredths%100, o.proved, o.sound, o.took.Milliseconds(), o.work)
}

func stripPieces(n []int64) (layout.Roll, []layout.Piece) {
	var pieces []layout.Piece
	for i := range int(n[0]) {
		pieces = append(pieces, layout.Piece{Name: strconv.Itoa(i), Wide: n[3+2*i], Deep: n[4+2*i], Count: 1})
	}
	return layout.Roll{Name: "strip", Wide: n[1]}, pieces
}

func runStrip(tb testing.TB, dir string, row map[string]string, e layout.Effort) outcome {
	roll, pieces := stripPieces(numbers(tb, filepath.Join(dir, "strip", row["file"])))
	began := time.Now()
	got, err := layout.LayRoll(context.Background(), roll, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	want := whole(tb, row["optimal_height"])
	return outcome{row["instance"], want, got.Used, got.Proved, verify.Roll(roll, pieces, got) == nil, time.Since(began), got.Work, (got.Used - want) * 10000 / want}
}

func runStock(tb testing.TB, dir string, row map[string]string, e layout.Effort) outcome {
	n := numbers(tb, filepath.Join(dir, "stock", row["file"]))
	stocks := []layout.StickStock{{Name: "stick", Long: n[1], Price: 1}}
	var pieces []layout.StickPiece
	for i, long := range n[2:] {
		pieces = append(pieces, layout.StickPiece{Name: strconv.Itoa(i), Long: long, Count: 1})
	}
	began := time.Now()
	got, err := layout.LaySticks(context.Background(), stocks, layout.StickRule{}, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	want := whole(tb, row["optimum"])
	return outcome{row["instance"], want, got.Cost, got.Proved, verify.Sticks(stocks, layout.StickRule{}, pieces, got) == nil, time.Since(began), got.Work, (got.Cost - want) * 10000 / want}
}

func runBestCut(tb testing.TB, dir string, row map[string]string, e layout.Effort) outcome {
	n := numbers(tb, filepath.Join(dir, "sheet", row["file"]))
	each := 3
	if strings.HasPrefix(row["kind"], "constrained") {
		each = 4
	}
	var items []layout.Valued
	for i := range int(n[0]) {
		at := n[3+each*i:]
		v := layout.Valued{Name: strconv.Itoa(i), Wide: at[0], Deep: at[1], Value: at[each-1]}
		if each == 4 {
			v.Most = int(at[2])
		}
		items = append(items, v)
	}
	size := layout.Size{Wide: n[1], Deep: n[2]}
	began := time.Now()
	got, err := layout.BestCut(context.Background(), size, 0, items, e)
	if err != nil {
		tb.Fatal(err)
	}
	want := whole(tb, row["optimum"])
	return outcome{row["instance"], want, got.Value, got.Proved, verify.BestCut(size, 0, items, got) == nil, time.Since(began), got.Work, (want - got.Value) * 10000 / want}
}

func runBins(tb testing.TB, dir string, row map[string]string, turn bool, e layout.Effort) outcome {
	n := numbers(tb, filepath.Join(dir, "sheet", row["file"]))
	stocks := []layout.SheetStock{{Name: "sheet", Wide: n[1], Deep: n[2]}}
	rule := layout.SheetRule{Guillotine: true, Stages: 3}
	var pieces []layout.Piece
	for i := range int(n[0]) {
		pieces = append(pieces, layout.Piece{Name: strconv.Itoa(i), Wide: n[3+2*i], Deep: n[4+2*i], Count: 1, Turn: turn})
	}
	began := time.Now()
	got, err := layout.LaySheets(context.Background(), stocks, rule, pieces, e)
	if err != nil {
		tb.Fatal(err)
	}
	column, name := "best_known_3stage_guillotine_fixed", row["instance"]
	if turn {
		column, name = "best_known_3stage_guillotine_rotation", name+" turned"
	}
	want, used := whole(tb, row[column]), int64(len(got.Sheets))
	return outcome{name, want, used, got.Proved, verify.Sheets(stocks, rule, pieces, got) == nil, time.Since(began), got.Work, (used - want) * 10000 / want}
}

// family runs every instance of an index.
func family(tb testing.TB, dir, file string, run func(map[string]string) outcome) []outcome {
	var out []outcome
	for _, row := range index(tb, filepath.Join(dir, file)) {
		out = append(out, run(row))
	}
	return out
}

func allFamilies(tb testing.TB, dir string, strips, others layout.Effort) map[string][]outcome {
	return map[string][]outcome{
		"strip": family(tb, dir, "strip/index.csv", func(r map[string]string) outcome { return runStrip(tb, dir, r, strips) }),
		"stock": family(tb, dir, "stock/index.csv", func(r map[string]string) outcome { return runStock(tb, dir, r, others) }),
		"value": family(tb, dir, "sheet/index.csv", func(r map[string]string) outcome { return runBestCut(tb, dir, r, others) }),
		"bins": append(
			family(tb, dir, "sheet/index_binpacking.csv", func(r map[string]string) outcome { return runBins(tb, dir, r, false, strips) }),
			family(tb, dir, "sheet/index_binpacking.csv", func(r map[string]string) outcome { return runBins(tb, dir, r, true, strips) })...),
	}
}

var familyNames = []string{"strip", "stock", "value", "bins"}

// summary counts what a family reached.
type summary struct{ count, met, proved, sound, over, overC, overN, ns int64 }

func sum(outcomes []outcome) summary {
	s := summary{count: int64(len(outcomes))}
	for _, o := range outcomes {
		s.over += o.overHundredths
		if o.overHundredths <= 0 {
			s.met++
		}
		if o.proved {
			s.proved++
		}
		if o.sound {
			s.sound++
		}
		if strings.HasPrefix(o.name, "C") {
			s.overC += o.overHundredths
		} else {
			s.overN += o.overHundredths
			s.ns++
		}
	}
	return s
}

// BenchmarkPublished prints the table over every published instance: strips and
// sheets with a second each, sticks and values with two (SQUAB_SECONDS or, for a
// counted effort, SQUAB_WORK changes it).
func BenchmarkPublished(b *testing.B) {
	dir := checksFolder(b)
	for range b.N {
		found := allFamilies(b, dir, asked(b, layout.Effort{Time: time.Second}), asked(b, layout.Effort{Time: 2 * time.Second}))
		for _, name := range familyNames {
			for _, o := range found[name] {
				fmt.Println(o)
			}
			s := sum(found[name])
			fmt.Printf("%s: %d of %d at the published value or better, %d proved, %d sound, mean over %.2f %%\n\n",
				name, s.met, s.count, s.proved, s.sound, float64(s.over)/100/float64(max(1, s.count)))
			b.ReportMetric(float64(s.met)*100/float64(max(1, s.count)), name+"-met-%")
		}
		s := sum(found["strip"])
		b.ReportMetric(float64(s.overC)/100/float64(max(1, s.count-s.ns)), "C-over-%")
		b.ReportMetric(float64(s.overN)/100/float64(max(1, s.ns)), "N-over-%")
	}
	b.ReportMetric(0, "ns/op")
}

// The short form of the benchmark: a small counted effort, so the same everywhere.
func TestPublishedInstances(t *testing.T) {
	dir := checksFolder(t)
	if testing.Short() {
		t.Skip("short")
	}
	found := allFamilies(t, dir, layout.Effort{Work: 120_000}, layout.Effort{Work: 400_000})
	for _, name := range familyNames {
		s := sum(found[name])
		if s.count == 0 || s.sound != s.count {
			t.Errorf("%s: %d of %d layouts are sound", name, s.sound, s.count)
		}
	}
	for _, o := range found["strip"] {
		if o.overHundredths > 1000 || o.overHundredths < 0 {
			t.Errorf("%v: over 10 %% from the optimum, or below it", o)
		}
		if strings.HasPrefix(o.name, "C1") && !o.proved {
			t.Errorf("%v: not optimal", o)
		}
	}
	for _, o := range append(found["value"], found["stock"]...) {
		if o.got != o.want && (o.proved || o.overHundredths < 0) {
			t.Errorf("%v: proved against the published value", o)
		}
	}
	if s := sum(found["value"]); s.met != s.count || s.proved != s.count {
		t.Errorf("values: %d met, %d proved of %d", s.met, s.proved, s.count)
	}
	if s := sum(found["stock"]); s.met*100 < s.count*80 {
		t.Errorf("sticks: %d met of %d", s.met, s.count)
	}
	if s := sum(found["bins"]); s.met*100 < s.count*90 {
		t.Errorf("bins: %d met of %d", s.met, s.count)
	}
}
