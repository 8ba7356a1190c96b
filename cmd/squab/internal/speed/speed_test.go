package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const root = "../../../.."

// Every row has its benchmark, which is run, and stands in the reference's table.
func TestRowsAreMeasured(t *testing.T) {
	page, err := os.ReadFile(filepath.Join(root, reference))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), opening)
	shown, _, _ := strings.Cut(rest, closing)
	for _, r := range rows {
		name, _, _ := strings.Cut(r.bench, "/")
		if !isRun(t, "Benchmark"+name) {
			t.Errorf("Benchmark%s is not run by its package", name)
		}
		if !strings.Contains(shown, "| "+r.what+" |") {
			t.Errorf("the table of the reference has no row %q: go run ./cmd/squab/internal/speed -write makes it again", r.what)
		}
	}
	if strings.Contains(shown, "not measured") {
		t.Error("the table of the reference has rows that were not measured")
	}
}

func isRun(t *testing.T, name string) bool {
	t.Helper()
	for _, b := range benchmarks {
		if !regexp.MustCompile(b.pattern).MatchString(name) {
			continue
		}
		files, _ := filepath.Glob(filepath.Join(root, b.dir, "*_test.go"))
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if strings.Contains(string(text), "func "+name+"(b *testing.B)") {
				return true
			}
		}
	}
	return false
}

func TestMiddleOfSeveralRunsIsRead(t *testing.T) {
	out := `goos: linux
cpu: A processor
BenchmarkBatch/five_cells-2   100  800 ns/op  5.5 ns/value  1200000 orders/s/core  0 B/op  0 allocs/op
BenchmarkBatch/five_cells-2   100  900 ns/op  0.7 ns/value  9900000 orders/s/core  8 B/op  1 allocs/op
BenchmarkBatch/five_cells-2   100  850 ns/op  5.7 ns/value  1300000 orders/s/core  0 B/op  0 allocs/op
PASS
`
	results := map[string]result{}
	if machine := read([]byte(out), results); machine != "A processor" {
		t.Errorf("the machine is %q", machine)
	}
	got := results["Batch/five_cells"]
	for metric, want := range map[string]float64{"ns/op": 850, "ns/value": 5.5, "orders/s/core": 1_300_000, "B/op": 0, "allocs/op": 0, "MB": 0} {
		if got.of(metric) != want {
			t.Errorf("%s is %v, want %v", metric, got.of(metric), want)
		}
	}
}

func TestFigures(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 5.574: "5.57", 41.39: "41.4", 7: "7", 120.1: "120", 1_245_945: "1,250,000", 62_314: "62,300", 1560: "1,560", 999_999: "1,000,000"} {
		if got := figures(v); got != want {
			t.Errorf("%v is written %s, want %s", v, got, want)
		}
	}
}

func TestRowsSayTheirUnit(t *testing.T) {
	r := row{"", "Batch", "orders/s/core", 2, ""}
	if got, want := r.shown(result{"orders/s/core": {1_245_945}}), "1,250,000 orders/s"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := r.allocated(result{"allocs/op": {20}, "B/op": {4096}}), "10 (2,050 B)"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := r.allocated(result{"allocs/op": {0}, "B/op": {7}}), "0"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := (row{metric: "ms-at-best"}).shown(result{"ms-at-best": {11.52}}), "11.5 ms"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := (row{metric: "MB"}).shown(result{}), "not measured"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
