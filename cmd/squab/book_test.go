package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestBookPage(t *testing.T) {
	folder := houseFolder(t, benchHouse+"\namend turn_under from 2026-03-01 = 1 3/4 in because \"a wider landing\"\n")
	out := filepath.Join(t.TempDir(), "book.html")
	if got := squab("", "book", folder, "--out", out); got.status != statusWell || got.out != "" || got.err != "" {
		t.Fatalf("status %d, out %.40q, err %s", got.status, got.out, got.err)
	}
	page, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"What this house amends", "a wider landing", "Harbour tweed", "Seat pad", "from 2026-03-01"} {
		if !strings.Contains(string(page), text) {
			t.Errorf("the book does not say %q", text)
		}
	}
	if got := squab("", "book", folder, "--out", out); got.status != statusFile {
		t.Errorf("a second run over the file: status %d", got.status)
	}
}

func TestBookOfUnsoundRules(t *testing.T) {
	got := squab("rule x: length = 1 kg\n", "book", "-")
	if got.status != statusProblems || got.out != "" || !strings.Contains(got.err, "no book is made") {
		t.Errorf("status %d, out %.40q, err %s", got.status, got.out, got.err)
	}
}

// TestBookBesideABadOrder makes the book of rules that are in order, and says that something else is not.
func TestBookBesideABadOrder(t *testing.T) {
	house(t)
	put(t, "bad.squab", "order 9 {\n  make roller_blind\n  wide = 20 min\n  drop = 4 ft\n}\n")
	got := squab("", "book", "house.squab", "bad.squab", "--format", "markdown")
	if got.status != statusProblems || !strings.Contains(got.out, "edge_fold") || !strings.Contains(got.err, "bad.squab:3:") {
		t.Errorf("status %d, %d bytes of a book: %s", got.status, len(got.out), got.err)
	}
}
