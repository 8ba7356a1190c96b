package bench

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/lang/diag"
)

func TestKeep(t *testing.T) {
	b := open(t)
	if status, text := b.keeps(fromTo("wide", "30 in", "2 ft 8 in")); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	want := strings.Replace(readFile(t, "testdata/orders.squab"), "wide  = 30 in  # measured twice", "wide  = 2 ft 8 in  # measured twice", 1)
	if diff := cmp.Diff(want, b.read("orders.squab")); diff != "" {
		t.Errorf("the file (-want +got):\n%s", diff)
	}
	for _, bad := range []string{"90 in", "3 lb", "30 in }", "quay", ""} {
		if status, _ := b.keeps(fromTo("wide", "2 ft 8 in", bad)); status != 422 {
			t.Errorf("%q: %d", bad, status)
		}
	}
	if diff := cmp.Diff(want, b.read("orders.squab")); diff != "" {
		t.Errorf("what was refused changed the file (-want +got):\n%s", diff)
	}
}

func TestKeepAllThatAnOrderSays(t *testing.T) {
	b := open(t)
	status, text := b.keeps(fromTo(titleName, "Window", "Bay"), to(offName, "2"), fromTo(dateName, "2026-03-02", "2026-04-01"), to("straps", "3"), to("label", `old "bay"`))
	if status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	b.holds("orders.squab", `order 7 "Bay" {`, "make seat_pad, 2 off", "date   = 2026-04-01", "straps = 3", `label  = "old \"bay\""`, "# measured twice", "# the week's orders")
	status, text = b.keeps(leaveOut(titleName, "Bay"), leaveOut(offName, "2"), leaveOut(dateName, "2026-04-01"), leaveOut("straps", "3"), leaveOut("label", `"old \"bay\""`))
	if status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	want := strings.NewReplacer(` "Window"`, "", "  date  = 2026-03-02\n", "").Replace(readFile(t, "testdata/orders.squab"))
	if diff := cmp.Diff(want, b.read("orders.squab")); diff != "" {
		t.Errorf("the file (-want +got):\n%s", diff)
	}
}

// Two pages that change different asks both have their way; two that change the same are told.
func TestTwoPagesLoseNothing(t *testing.T) {
	b := open(t)
	if status, text := b.keeps(fromTo("wide", "30 in", "33 in")); status != 200 {
		t.Fatal(text)
	}
	if status, text := b.keeps(fromTo("deep", "20 in", "18 in"), to(offName, "2")); status != 200 {
		t.Fatalf("another ask: %d: %s", status, text)
	}
	status, text := b.keeps(fromTo("wide", "30 in", "29 in"), fromTo(titleName, "Window", "Bay"), to(offName, "3"))
	var c clash
	if err := json.Unmarshal([]byte(text), &c); status != 409 || err != nil {
		t.Fatalf("the same ask: %d: %s", status, text)
	}
	if diff := cmp.Diff([]conflict{{"wide", new("33 in")}, {offName, new("2")}}, c.Conflicts); diff != "" {
		t.Errorf("conflicts (-want +got):\n%s", diff)
	}
	b.holds("orders.squab", "= 33 in", "= 18 in", "!29 in", "seat_pad, 2 off", `"Window"`)
}

// Many pages at once: every change that is answered as kept is in the file, and no other.
func TestManyPagesAtOnce(t *testing.T) {
	b := open(t)
	var pages sync.WaitGroup
	kept := make([]bool, 12)
	for i := range kept {
		pages.Go(func() {
			name, known := "wide", "30 in"
			if i%2 > 0 {
				name, known = "deep", "20 in"
			}
			status, _ := b.keeps(fromTo(name, known, fmt.Sprintf("%d in", 21+i)))
			kept[i] = status == 200
		})
	}
	pages.Wait()
	n := 0
	for i, was := range kept {
		if was {
			n++
			b.holds("orders.squab", fmt.Sprintf("= %d in", 21+i))
		}
	}
	if n != 2 {
		t.Errorf("%d changes of two asks were told to be kept, by 12 pages that knew none of each other", n)
	}
}

// An editor that writes the file meanwhile loses nothing either.
func TestKeepReadsTheFileAsItIs(t *testing.T) {
	b := open(t)
	b.replace("orders.squab", "deep  = 20 in", "deep  = 22 in  # from an editor")
	if status, text := b.keeps(fromTo("wide", "30 in", "34 in")); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	b.holds("orders.squab", "= 22 in", "# from an editor", "= 34 in")
}

// A file that is written between the reading and the writing is not written over.
func TestReplaceOnlyWhatWasRead(t *testing.T) {
	b := open(t)
	h, err := b.options.readHouse()
	if err != nil {
		t.Fatal(err)
	}
	there, err := h.holding("7")
	if err != nil {
		t.Fatal(err)
	}
	b.replace("orders.squab", "20 in", "22 in")
	if err := b.Server.replace(h.texts[there.at], "# nothing\n"); err != errMoved {
		t.Errorf("the error is %v", err)
	}
	b.holds("orders.squab", "22 in", "!# nothing")
}

// An editor that writes the file just before it would be replaced makes the bench put its change into what the editor wrote.
func TestKeepTriesAgain(t *testing.T) {
	b := open(t)
	for meanwhile, want := range map[int]int{1: 200, 3: 422} {
		calls := 0
		s := &Server{options: b.options, view: b.now()}
		s.options.Library = func(files *diag.Files) []*diag.Source {
			if calls++; calls%2 == 0 && calls/2 <= meanwhile { // the house is read, and then again as it would be
				b.write("orders.squab", b.read("orders.squab")+fmt.Sprintf("# written meanwhile, %d of %d\n", calls/2, meanwhile))
			}
			return library(files)
		}
		wide := fmt.Sprintf("%d in", 40+meanwhile)
		now := *b.source7().says("wide")
		err := s.store(t.Context(), wish{Order: "7", Changes: []change{fromTo("wide", now, wide)}})
		if (err == nil) != (want == 200) || err != nil && err != errMoved {
			t.Errorf("written %d times meanwhile: %v", meanwhile, err)
		}
		b.holds("orders.squab", fmt.Sprintf("# written meanwhile, %d of %d", meanwhile, meanwhile), map[bool]string{true: "= " + wide, false: "!= " + wide}[want == 200])
	}
}

// source7 is order 7 as its file says it now.
func (b *bench) source7() source {
	b.t.Helper()
	h, err := b.options.readHouse()
	if err != nil {
		b.t.Fatal(err)
	}
	return h.source("7")
}

// What the file says already is not written again.
func TestKeepNothingNew(t *testing.T) {
	b := open(t)
	look := func() os.FileInfo {
		info, err := os.Stat(filepath.Join(b.folder, "orders.squab"))
		if err != nil {
			t.Fatal(err)
		}
		return info
	}
	before := look()
	if status, text := b.keeps(fromTo("wide", "30 in", "30 in")); status != 200 {
		t.Errorf("%d: %s", status, text)
	}
	if after := look(); !os.SameFile(before, after) || before.ModTime() != after.ModTime() {
		t.Error("the file was written anew")
	}
}

func TestKeepRefuses(t *testing.T) {
	b := open(t)
	b.write("more.squab", "# more orders\norder 9 {\n  make seat_pad\n  wide = 20 in\n  deep = 20 in\n  cover = quay_velvet\n}\n")
	tests := []struct {
		name string
		do   func()
		wish wish
		says string
	}{
		{"an order that is gone", nil, wish{Order: "70", Changes: []change{to("wide", "20 in")}}, "no longer there"},
		{"rules with a mistake", func() { b.write("house.squab", b.read("house.squab")+"\nrule broken: length = 1 lb\n") }, wish{Order: "7", Changes: []change{fromTo("wide", "30 in", "20 in")}}, "broken"},
		{"a file that cannot be read", func() { b.write("more.squab", b.read("more.squab")+"order 10 {\n") }, wish{Order: "9", Changes: []change{fromTo("wide", "20 in", "21 in")}}, "more.squab:8: cannot be laid out before it is mended"},
		{"two orders of one number", func() { b.replace("more.squab", "order 9", "order 7") }, wish{Order: "7", Changes: []change{fromTo("wide", "30 in", "21 in")}}, "the order 7 is there twice, in more.squab and in orders.squab"},
		{"a new order of a number that is taken", nil, wish{Order: "9", Recipe: "seat_pad"}, "an order 9 already"},
		{"a new order that gives too little", nil, wish{Order: "10", Recipe: "seat_pad", Changes: []change{to("wide", "20 in")}}, "deep"},
		{"a new order of no recipe", nil, wish{Order: "10", Recipe: "seat_pd"}, "seat_pad"},
	}
	for _, tt := range tests {
		house, orders, more := b.read("house.squab"), b.read("orders.squab"), b.read("more.squab")
		if tt.do != nil {
			tt.do()
		}
		before := b.read("orders.squab") + b.read("more.squab")
		if status, text := b.post("/keep", tt.wish); status != 422 || !strings.Contains(text, tt.says) {
			t.Errorf("%s: %d: %s", tt.name, status, text)
		}
		if diff := cmp.Diff(before, b.read("orders.squab")+b.read("more.squab")); diff != "" {
			t.Errorf("%s: the files were changed:\n%s", tt.name, diff)
		}
		b.write("house.squab", house)
		b.write("orders.squab", orders)
		b.write("more.squab", more)
	}
}

// A new order goes behind the last that there is.
func TestKeepANewOrder(t *testing.T) {
	b := open(t)
	w := wish{Order: "9", Recipe: "seat_pad", Changes: []change{to(titleName, "Porch"), to("wide", "20 in"), to("deep", "18 in"), to("cover", "quay_velvet"), to("label", "porch")}}
	if html, problems := b.tries(w); problems != "" || !strings.Contains(html, "<h1>Order 9: Porch</h1>") || strings.Contains(html, "changed") {
		t.Errorf("the trial: %s: %.200s", problems, html)
	}
	b.holds("orders.squab", "!Porch")
	if status, text := b.post("/keep", w); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	want := readFile(t, "testdata/orders.squab") + "\norder 9 \"Porch\" {\n  make seat_pad\n  wide  = 20 in\n  deep  = 18 in\n  cover = quay_velvet\n  label = \"porch\"\n}\n"
	if diff := cmp.Diff(want, b.read("orders.squab")); diff != "" {
		t.Errorf("the file (-want +got):\n%s", diff)
	}
	b.write("early.squab", "order 3 {\n  make seat_pad\n  wide = 20 in\n  deep = 20 in\n  cover = quay_velvet\n}\n")
	b.write("zips.squab", "# none yet\n")
	b.renew()
	w.Order = "10"
	if status, text := b.post("/keep", w); status != 200 {
		t.Fatalf("%d: %s", status, text)
	}
	b.holds("orders.squab", `order 10 "Porch"`)
	b.holds("early.squab", "!Porch")
	b.holds("zips.squab", "!Porch")
	status, text := b.request("GET", "/?new=seat_pad&key="+b.Key, "", nil)
	if status != 200 || !strings.Contains(text, `id="id" value="11"`) || !strings.Contains(text, "it goes into orders.squab") {
		t.Errorf("the page of the next: %d: %.300s", status, text)
	}
}
