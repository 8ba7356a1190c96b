package main

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"squab/cmd/squab/internal/record"
)

// keptRecord cuts the test house's orders and gives the record's path and what it holds.
func keptRecord(t *testing.T) (path, text string) {
	t.Helper()
	house(t)
	if r := squab("", "cut", "house.squab", "orders.squab", "--record", "kept.json"); r.status != statusWell {
		t.Fatal(r.err)
	}
	data, err := os.ReadFile("kept.json")
	if err != nil {
		t.Fatal(err)
	}
	return "kept.json", string(data)
}

func TestRecordsThatDoNotFitAreRefusedByName(t *testing.T) {
	path, text := keptRecord(t)
	for _, test := range []struct{ from, to, want string }{
		{`wide = 41 in`, `wide = 14 in`, "source orders.squab, text has been changed"},
		{`edge_fold from 2026-03-01 = 1 3/4 in`, `edge_fold from 2026-03-01 = 1 1/4 in`, "source house.squab, text has been changed"},
		{`"cut_wide":{"exact":"89/2"`, `"cut_wide":{"exact":"87/2"`, "order 7, cells.cut_wide has been changed"},
		{`"date":"2026-04-02","by_area"`, `"date":"2026-04-03","by_area"`, "date has been changed"},
		{`"name":"bar"`, `"name":"rod"`, "order 7, pieces.bar is missing; order 7, pieces.rod has been put in"},
		{`"order":"7","copy":1`, `"order":"8","copy":1`, "order 7, layouts.sail_canvas.placed has been changed"},
	} {
		if !strings.Contains(text, test.from) {
			t.Errorf("the record does not hold %s", test.from)
		}
		put(t, path, strings.Replace(text, test.from, test.to, 1))
		r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7")
		if r.status != statusFile || !strings.Contains(r.err, test.want) || r.out != "" {
			t.Errorf("%s: status %d: %s", test.to, r.status, r.err)
		}
	}
	put(t, path, text[:len(text)*2/3])
	if r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7"); r.status != statusFile || !strings.Contains(r.err, "ends before it is complete, in ") {
		t.Errorf("torn: status %d: %s", r.status, r.err)
	}
}

// A record whose checksums all fit may still not be what its own rules give: why tells, and names the cells.
func TestWhySaysWhereARecordIsNotWhatItsRulesGive(t *testing.T) {
	path, text := keptRecord(t)
	if r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7"); r.status != statusWell || r.err != "" {
		t.Errorf("as it was kept: status %d: %s", r.status, r.err)
	}
	rec, err := record.Read([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	rec.Answers = []byte(strings.Replace(string(rec.Answers), `"cut_wide":{"exact":"89/2"`, `"cut_wide":{"exact":"87/2"`, 1))
	forged, err := rec.Encode()
	if err != nil {
		t.Fatal(err)
	}
	put(t, path, string(forged))
	r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7")
	if told := strings.Join(strings.Fields(r.err), " "); r.status != statusProblems || !strings.Contains(told, "order 7 is not as the record keeps it: order 7, cells.cut_wide has been changed") {
		t.Errorf("forged: status %d: %s", r.status, r.err)
	}
}

func TestRecordIsWholeOrNotThere(t *testing.T) {
	path, text := keptRecord(t)
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	if r := squab("", "cut", "house.squab", "orders.squab", "--record", path); r.status != statusFile {
		t.Errorf("a record is replaced without --force: %s", r.err)
	}
	if r := squab("", "cut", "house.squab", "orders.squab", "--record", path, "--order", "8", "--force"); r.status != statusWell {
		t.Error(r.err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the permissions of a record that is replaced: %v, %v", info.Mode(), err)
	}
	if data, _ := os.ReadFile(path); string(data) == text {
		t.Error("--force did not replace the record")
	}
	for _, args := range [][]string{
		{"cut", "house.squab", "nowhere.squab", "--record", "new.json"},
		{"cut", "house.squab", "orders.squab", "--order", "77", "--record", "new.json"},
		{"cut", "house.squab", "--orders", "nowhere.csv", "--recipe", "roller_blind", "--record", "new.json"},
		{"cut", "house.squab", "orders.squab", "--record", "nowhere/new.json"},
	} {
		if r := squab("", args...); r.status == statusWell {
			t.Errorf("%v went well", args)
		}
		if _, err := os.Stat("new.json"); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%v leaves a record", args)
		}
	}
	if left, _ := filepath.Glob("*.part"); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
}

func TestRecordIsOfTextAlone(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop,title\n21,41 in,4 ft,caf\xe9\n")
	r := squab("", "cut", "house.squab", "--orders", "rows.csv", "--recipe", "roller_blind", "--record", "kept.json")
	if r.status != statusFile || !strings.Contains(r.err, "rows.csv is not UTF-8 text") {
		t.Errorf("status %d: %s", r.status, r.err)
	}
}

// What a file names is told of without what would steer a terminal.
func TestRefusalsOfRecordsAreHarmless(t *testing.T) {
	path, text := keptRecord(t)
	put(t, path, strings.Replace(text, `"cut_wide":`, `"\u001b[31mcut\u202e":`, 1))
	r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7")
	if r.status != statusFile || !strings.Contains(r.err, "has been put in") || strings.ContainsAny(r.err, "\x1b\u202e") {
		t.Errorf("status %d: %q", r.status, r.err)
	}
}

// A record compared with the files that it was made of tells of nothing, whatever its run was given.
func TestRecordComparesAsItWasMade(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop\n21,41 in,4 ft\n22,30 in,3 ft\n22,31 in,3 ft\n23,30 in,3 parsecs\n")
	for name, args := range map[string][]string{
		"plain":        {"house.squab", "orders.squab"},
		"together":     {"house.squab", "orders.squab", "--together"},
		"by area":      {"house.squab", "orders.squab", "--by-area"},
		"one order":    {"house.squab", "orders.squab", "--order", "8"},
		"set":          {"house.squab", "orders.squab", "--set", "7.wide=44 in", "--set", "edge_fold=2 in", "--set", "8.off=3"},
		"on a day":     {"house.squab", "orders.squab", "--date", "2026-01-05"},
		"rows":         {"house.squab", "--orders", "rows.csv", "--recipe", "roller_blind"},
		"rows and set": {"house.squab", "--orders", "rows.csv", "--recipe", "roller_blind", "--set", "21.wide=50 in", "--order", "21"},
	} {
		t.Run(name, func(t *testing.T) {
			squab("", append([]string{"cut", "--record", "kept.json", "--force"}, args...)...)
			r := squab("", "compare", "--record", "kept.json", "house.squab", "--format", "json")
			var c comparedJSON
			if err := json.Unmarshal([]byte(r.out), &c); err != nil {
				t.Fatalf("%v: %s", err, r.err)
			}
			if c.Orders == 0 || len(c.Changes)+len(c.Notes)+len(c.Added)+len(c.Removed) > 0 {
				t.Errorf("%+v\n%s", c, r.err)
			}
		})
	}
}

// TestARecordOfSomeRowsIsComparedByThose keeps one row of three.
func TestARecordOfSomeRowsIsComparedByThose(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop\n1,20 in,4 ft\n2,22 in,4 ft\n3,24 in,4 ft\n")
	if r := squab("", "cut", "house.squab", "--orders", "rows.csv", "--recipe", "roller_blind", "--order", "2", "--record", "kept.json"); r.status != statusWell {
		t.Fatal(r.err)
	}
	data, err := os.ReadFile("house.squab")
	if err != nil {
		t.Fatal(err)
	}
	put(t, "house.squab", strings.Replace(string(data), "price = $18 per yd", "price = $19 per yd", 1))
	got := compareJSON(t, "--record", "kept.json", "house.squab")
	for _, ch := range got.Changes {
		if ch.Order != "2" {
			t.Errorf("order %s is compared", ch.Order)
		}
	}
	if len(got.Changes) == 0 || len(got.Added)+len(got.Removed) > 0 {
		t.Errorf("%d changes, %v put in, %v left out", len(got.Changes), got.Added, got.Removed)
	}
}

// TestARecordOfOtherRulesIsRefused forges the fingerprint under checksums that all fit.
func TestARecordOfOtherRulesIsRefused(t *testing.T) {
	path, text := keptRecord(t)
	rec, err := record.Read([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	fits := rec.Rules
	rec.Rules = strings.Repeat("0", len(fits))
	forged, err := rec.Encode()
	if err != nil {
		t.Fatal(err)
	}
	put(t, path, string(forged))
	r := squab("", "why", "sheet_cloth.wide", "--record", path, "--order", "7")
	if r.status != statusFile || r.out != "" || !strings.Contains(strings.Join(strings.Fields(r.err), " "), "rules: expected the fingerprint "+fits+", found "+rec.Rules) {
		t.Errorf("status %d: %s%s", r.status, r.out, r.err)
	}
}
