package main

import (
	"bufio"
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
)

// benchmark is what is run in one package: how long each is run, and how often again.
type benchmark struct{ dir, pattern, long, again string }

var benchmarks = []benchmark{
	{"lang", "^(BenchmarkScan|BenchmarkParse)$", "5x", "5"},
	{"eval/check", "^BenchmarkCheck20000Lines$", "3x", "3"},
	{"eval", "^(BenchmarkPlan|BenchmarkBatchPlan|BenchmarkOneOrder|BenchmarkSet|BenchmarkBatch)$", "0.5s", "5"},
	{"eval/orders", "^(BenchmarkCSV|BenchmarkJSONLines)$", "0.5s", "5"},
	{"stdlib", "^BenchmarkHeronQuay$", "3x", "3"},
	{"cmd/squab", "^BenchmarkCut$", "1x", "3"},
	{"cmd/squab", "^BenchmarkWhy$", "1000x", "3"},
	{"cmd/squab", "^BenchmarkColdCut$", "20x", "1"},
	{"cmd/squab", "^BenchmarkMillion$", "1x", "1"},
}

// row is a line of the table: a metric of a benchmark. each is how many things one run of it does, for what is allocated for each of them; 0 says nothing of that.
type row struct {
	what, bench, metric string
	each                float64
	goal                string
}

var rows = []row{
	{"splitting source into tokens", "Scan", "MB/s/core", 0, ""},
	{"parsing source", "Parse", "MB/s/core", 0, ""},
	{"the same: by the clock, its collector on another core", "Parse", "MB/s", 0, "6 MB/s"},
	{"checking a book of 20,000 lines", "Check20000Lines", "lines/s/core", 20_000, ""},
	{"planning a recipe of 120 cells and 24 marks", "Plan", "plans/s/core", 1, ""},
	{"the same, by columns", "BatchPlan", "plans/s/core", 1, ""},
	{"its orders side by side, five cells read", "Batch/five_cells", "orders/s/core", 1, "700,000"},
	{"each of the 144 values of those", "Batch/five_cells", "ns/value", 0, "10 ns"},
	{"its orders side by side, all values read", "Batch/all_values", "orders/s/core", 1, ""},
	{"its orders one after another", "OneOrder", "orders/s/core", 1, ""},
	{"each of the 144 values of those", "OneOrder", "ns/value", 0, "40 ns"},
	{"changing one ask of an order", "Set", "changes/s/core", 1, ""},
	{"why a cell is what it is", "Why", "whys/s/core", 1, "1,000"},
	{"reading orders from CSV", "CSV", "orders/s/core", 1, ""},
	{"reading orders from JSON lines", "JSONLines", "orders/s/core", 1, "400,000"},
	{"the example's orders, by area", "HeronQuay/by_area", "orders/s/core", 0, ""},
	{"the example's orders, laid out", "HeronQuay/laid_out", "orders/s/core", 0, ""},
	{"`squab cut --orders --by-area`, CSV to CSV", "Cut/csv", "orders/s/core", 20_000, ""},
	{"CSV to JSON lines", "Cut/jsonl", "orders/s/core", 20_000, ""},
	{"CSV to text", "Cut/text", "orders/s/core", 20_000, ""},
	{"a million orders, CSV to CSV", "Million", "orders/s/core", 0, ""},
	{"the most memory of that", "Million", "MB", 0, ""},
	{"`squab cut` of one order, from cold: processor", "ColdCut", "core-ms", 0, ""},
	{"the same: by the clock, at best", "ColdCut", "ms-at-best", 0, "30 ms"},
}

// result holds what each metric of a benchmark was, run by run.
type result map[string][]float64

// of gives the middle of a metric's runs, so that one odd run says nothing.
func (r result) of(metric string) float64 {
	all := slices.Sorted(slices.Values(r[metric]))
	if len(all) == 0 {
		return 0
	}
	return all[len(all)/2]
}

// read takes results in from what go test writes, and gives the machine that it names.
func read(out []byte, into map[string]result) (machine string) {
	for s := bufio.NewScanner(bytes.NewReader(out)); s.Scan(); {
		if cpu, ok := strings.CutPrefix(s.Text(), "cpu: "); ok {
			machine = cpu
		}
		fields := strings.Fields(s.Text())
		if len(fields) < 4 || !strings.HasPrefix(fields[0], "Benchmark") {
			continue
		}
		name, _, _ := strings.Cut(strings.TrimPrefix(fields[0], "Benchmark"), "-")
		if into[name] == nil {
			into[name] = result{}
		}
		into[name].take(fields[2:])
	}
	return machine
}

// take takes pairs of a value and its metric in.
func (r result) take(pairs []string) {
	for i := 0; i+1 < len(pairs); i += 2 {
		if v, err := strconv.ParseFloat(pairs[i], 64); err == nil {
			r[pairs[i+1]] = append(r[pairs[i+1]], v)
		}
	}
}

// shown writes a row's metric with its unit.
func (r row) shown(res result) string {
	if len(res[r.metric]) == 0 {
		return "not measured"
	}
	unit, _ := strings.CutSuffix(r.metric, "/core")
	switch r.metric {
	case "ns/value":
		unit = "ns"
	case "core-ms", "ms-at-best":
		unit = "ms"
	}
	return figures(res.of(r.metric)) + " " + unit
}

// allocated writes how much one thing takes from the heap.
func (r row) allocated(res result) string {
	if r.each == 0 {
		return ""
	}
	times, size := math.Round(res.of("allocs/op")/r.each), math.Round(res.of("B/op")/r.each)
	if times == 0 {
		return "0"
	}
	return figures(times) + " (" + figures(size) + " B)"
}

// figures writes a number to three figures, with commas.
func figures(v float64) string {
	if v < 100 && v != math.Trunc(v) {
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	if v >= 1000 {
		scale := math.Pow(10, math.Floor(math.Log10(v))-2)
		v = math.Round(v/scale) * scale
	}
	digits := strconv.FormatFloat(math.Round(v), 'f', 0, 64)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}
