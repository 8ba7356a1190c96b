package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const benchHouse = `shop "Heron Quay Workroom" {
  currency = USD
}

amend labour_rate = $50 per h
amend usual_thread = waxed_thread

material harbour_tweed: cloth "Harbour tweed" {
  price = $38 per yd
}

material waxed_thread: thread "Waxed thread" {
  price = $0.08 per yd
}

recipe seat_pad "Seat pad" {
  ask wide:  length from 10 in to 50 in      # inside the cloth's width
  ask deep:  length from 8 in to 40 in
  ask cover: cloth

  piece top from cover = wide by deep
  marks middle on top = [wide / 2 at deep / 2]
  work sewing = 12 min
  step "Sew the {wide} seam"
  caution blades
}

order 7 "Window" {
  make seat_pad
  date  = 2026-03-02
  wide  = 30 in        # measured twice
  deep  = 20 in
  cover = harbour_tweed
}

order 8 "Stair" {
  make seat_pad, 2 off
  date  = 2026-03-03
  wide  = 31 1/2 in
  deep  = 15 in
  cover = harbour_tweed
}
`

// houseFolder makes a folder with one house file, and gives its path.
func houseFolder(t *testing.T, text string) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "house.squab"), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return folder
}

func TestTicketPages(t *testing.T) {
	folder := houseFolder(t, benchHouse)
	tests := []struct {
		args []string
		says []string
		not  []string
	}{
		{nil, []string{"Order 7: Window", "Order 8: Stair", "31 1/2 in", "<details"}, nil},
		{[]string{"--order", "7"}, []string{"Order 7: Window"}, []string{"Order 8"}},
		{[]string{"--order", "7", "--set", "7.wide=33 1/4 in"}, []string{"33 1/4 in"}, nil},
		{[]string{"--quotation"}, []string{"Quotation 7", "making and material"}, []string{"<details", "labour"}},
		{[]string{"--labels", "--paper", "a4"}, []string{"1 of 2", "2 of 2"}, nil},
		{[]string{"--buying"}, []string{"Harbour tweed", "2 orders"}, nil},
		{[]string{"--csv"}, []string{"order,title,what,name", "8,Stair,piece,top,harbour_tweed,wide,31 1/2 in,63/2,in"}, []string{"<html"}},
		{[]string{"--order", "8", "--template", "top"}, []string{"Sheet A1", "2 in each way"}, nil},
		{[]string{"--order", "8", "--template", "top", "--strip"}, []string{"from the left, 1 of"}, nil},
		{[]string{"--order", "8", "--template", "top", "--svg"}, []string{"<svg", `width="31.7000in"`}, []string{"<html"}},
	}
	for _, tt := range tests {
		got := squab("", append([]string{"ticket", folder}, tt.args...)...)
		if got.status != statusWell || got.err != "" {
			t.Errorf("%v: status %d, %s", tt.args, got.status, got.err)
		}
		for _, text := range tt.says {
			if !strings.Contains(got.out, text) {
				t.Errorf("%v: the page does not say %q", tt.args, text)
			}
		}
		for _, text := range tt.not {
			if strings.Contains(got.out, text) {
				t.Errorf("%v: the page says %q", tt.args, text)
			}
		}
	}
}

func TestTicketMisuse(t *testing.T) {
	folder := houseFolder(t, benchHouse)
	tests := []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"--quotation", "--labels"}, statusMisused, "one at a time"},
		{[]string{"--strip"}, statusMisused, "go with --template"},
		{[]string{"--paper", "a3"}, statusMisused, "letter or a4"},
		{[]string{"--template", "tap"}, statusMisused, "did you mean top?"},
		{[]string{"--template", "top", "--svg"}, statusMisused, "one drawing is of one order"},
		{[]string{"--order", "70"}, statusMisused, "there is no order 70"},
		{[]string{"--out", "absent/t.html"}, statusFile, "absent"},
	}
	for _, tt := range tests {
		got := squab("", append([]string{"ticket", folder}, tt.args...)...)
		if got.status != tt.status || !strings.Contains(got.err, tt.says) || got.out != "" {
			t.Errorf("%v: status %d, out %.40q, err %s", tt.args, got.status, got.out, got.err)
		}
	}
}

// An order that is refused leaves the others their pages, and is told of.
func TestTicketRefusedOrder(t *testing.T) {
	folder := houseFolder(t, strings.Replace(benchHouse, "31 1/2 in", "90 in", 1))
	got := squab("", "ticket", folder)
	if got.status != statusProblems || !strings.Contains(got.out, "Order 7: Window") || strings.Contains(got.out, "Order 8") {
		t.Errorf("status %d; order 7 on the page: %v", got.status, strings.Contains(got.out, "Order 7: Window"))
	}
	if !strings.Contains(got.err, "wide") {
		t.Errorf("what is told: %s", got.err)
	}
}

// A row that does not hold to a need of the recipe is refused when it is worked out, and the rows after it have their pages.
func TestTicketRefusedRow(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop\n1,50 in,24 in\n2,20 in,4 ft\n")
	got := squab("", "ticket", "house.squab", "--orders", "rows.csv", "--recipe", "roller_blind")
	if got.status != statusProblems || !strings.Contains(got.out, "Order 2") || strings.Contains(got.out, "Order 1") {
		t.Errorf("status %d; order 2 on the page: %v", got.status, strings.Contains(got.out, "Order 2"))
	}
	if want := "order 1 is refused:\nrows.csv:2:1: error: a blind 50 in wide"; !strings.HasPrefix(got.err, want) {
		t.Errorf("what is told: %s", got.err)
	}
}

func TestTicketIntoFolder(t *testing.T) {
	folder, out := houseFolder(t, benchHouse), t.TempDir()
	if got := squab("", "ticket", folder, "--out", out); got.status != statusWell || got.out != "" {
		t.Fatalf("status %d: %s", got.status, got.err)
	}
	entries, err := os.ReadDir(out)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if diff := cmp.Diff([]string{"order-7.html", "order-8.html"}, names); diff != "" {
		t.Errorf("files (-want +got):\n%s", diff)
	}
	if got := squab("", "ticket", folder, "--csv", "--out", out); got.status != statusWell {
		t.Errorf("as CSV beside them: status %d, %s", got.status, got.err)
	}
	if _, err := os.Stat(filepath.Join(out, "order-8.csv")); err != nil {
		t.Error(err)
	}
	if got := squab("", "ticket", folder, "--out", out); got.status != statusFile || !strings.Contains(got.err, "--force") {
		t.Errorf("a second run: status %d, %s", got.status, got.err)
	}
}

// TestTicketsAreAllWrittenOrNone finds one of the files there already: none of the others is written, unless they may be replaced.
func TestTicketsAreAllWrittenOrNone(t *testing.T) {
	house(t)
	put(t, "tickets/order-8.html", "mine")
	args := []string{"ticket", "house.squab", "orders.squab", "--out", "tickets"}
	if got := squab("", args...); got.status != statusFile || !strings.Contains(got.err, filepath.Join("tickets", "order-8.html")) {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if files, _ := filepath.Glob("tickets/*"); len(files) != 1 {
		t.Errorf("the folder holds %v", files)
	}
	if got := squab("", append(args, "--force")...); got.status != statusWell {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if files, _ := filepath.Glob("tickets/*"); len(files) != 2 {
		t.Errorf("the folder holds %v", files)
	}
}

// TestTicketsOfOneNameAreToldOf names two orders that differ only in what a file's name cannot hold.
func TestTicketsOfOneNameAreToldOf(t *testing.T) {
	house(t)
	put(t, "rows.csv", "order,wide,drop\nhall 1,20 in,4 ft\nhall/1,21 in,4 ft\n")
	put(t, "tickets/mine", "")
	got := squab("", "ticket", "house.squab", "--orders", "rows.csv", "--recipe", "roller_blind", "--out", "tickets")
	if got.status != statusMisused || !strings.Contains(got.err, "the orders hall 1 and hall/1 would have one file name") {
		t.Errorf("status %d: %s", got.status, got.err)
	}
	if files, _ := filepath.Glob("tickets/*"); len(files) != 1 {
		t.Errorf("the folder holds %v", files)
	}
}

func TestFileName(t *testing.T) {
	for id, want := range map[string]string{"1042": "order-1042.html", "../../etc/x": "order-------etc-x.html", "a b<c>": "order-a-b-c-.html", "Möbel_7": "order-Möbel_7.html", strings.Repeat("x", 99): "order-" + strings.Repeat("x", 60) + ".html"} {
		if got := fileName(id, "html"); got != want {
			t.Errorf("%q gives %s, want %s", id, got, want)
		}
	}
}
