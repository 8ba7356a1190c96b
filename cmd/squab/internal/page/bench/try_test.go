package bench

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval/check"
	"squab/stdlib/layout"
)

func TestTryMarksWhatChanged(t *testing.T) {
	b := open(t)
	html, problems := b.tries(wish{Order: "7"})
	if problems != "" || strings.Contains(html, "changed") {
		t.Errorf("as kept, something is marked as changed, or wrong: %s", problems)
	}
	html, _ = b.tries(wish{Order: "7", Changes: []change{to("wide", "31 in")}})
	for _, part := range []string{`>32 in</data><span class="unseen">, was 31 in, why</span>`, `data-why="price.total"`} {
		if !strings.Contains(html, part) {
			t.Errorf("the sheet does not say %q", part)
		}
	}
	if strings.Contains(html, `changed" data-why="top.deep"`) || !strings.Contains(html, `changed" data-why="top.wide"`) {
		t.Error("what changed is not what is marked")
	}
	if strings.Contains(html, "<i>tweed") {
		t.Error("a name is more than text")
	}
	if strings.Contains(html, "No longer there") {
		t.Error("something is told to be gone")
	}
	html, _ = b.tries(wish{Order: "7", Changes: []change{to("cover", "quay_velvet")}})
	if !strings.Contains(html, "<b>No longer there:</b> top of Harbour &lt;i&gt;tweed&lt;/i&gt;; Harbour &lt;i&gt;tweed&lt;/i&gt; to buy.") {
		t.Error("a material that is no longer bought is not told of")
	}
}

// What is tried leaves no trace, neither in the file nor for the next trial, and trials at once do not mix.
func TestTryLeavesNoTrace(t *testing.T) {
	b := open(t)
	before := b.read("orders.squab")
	var pages sync.WaitGroup
	for i := range 8 {
		pages.Go(func() {
			want := fmt.Sprintf(">%d in</data>", 32+i)
			if html, problems := b.tries(wish{Order: "7", Changes: []change{to("wide", fmt.Sprintf("%d in", 31+i))}}); !strings.Contains(html, want) {
				t.Errorf("the sheet lacks %s: %s", want, problems)
			}
		})
	}
	pages.Wait()
	html, _ := b.tries(wish{Order: "7"})
	if !strings.Contains(html, ">31 in</data>") || strings.Contains(html, "changed") {
		t.Error("a trial is still there for the next")
	}
	if diff := cmp.Diff(before, b.read("orders.squab")); diff != "" {
		t.Errorf("a trial is in the file:\n%s", diff)
	}
}

// Everything that an order says may be tried, and left to what is usual.
func TestTryAllThatAnOrderSays(t *testing.T) {
	b := open(t)
	tests := []struct {
		name    string
		order   string
		changes []change
		want    []string
	}{
		{"another title", "7", []change{to(titleName, "Bay <b>")}, []string{"<h1>Order 7: Bay &lt;b&gt;</h1>"}},
		{"no title", "7", []change{{Name: titleName}}, []string{"<h1>Order 7</h1>"}},
		{"how many", "7", []change{to(offName, "3")}, []string{`make <b><details class="num changed" data-why="off"><summary><data value="3">3`}},
		{"one again", "8", []change{{Name: offName}}, []string{`make <b><details class="num changed" data-why="off"><summary><data value="1">1`}},
		{"another day", "7", []change{to(dateName, "2026-04-01")}, []string{`<time datetime="2026-04-01">`}},
		{"no day", "7", []change{{Name: dateName}}, []string{`<time datetime="2026-04-02">`}},
		{"a default", "7", []change{to("straps", "4")}, []string{"was 2"}},
		{"a text in plain words", "7", []change{to("label", `the {old} "bay"`)}, []string{`the {old} &#34;bay&#34;`}},
		{"an order's own amendment holds", "8", []change{to("wide", "20 in")}, []string{"labour_rate = $70.00 per h"}},
	}
	for _, tt := range tests {
		html, problems := b.tries(wish{Order: tt.order, Changes: tt.changes})
		for _, want := range tt.want {
			if !strings.Contains(html, want) {
				t.Errorf("%s: the sheet lacks %s: %s", tt.name, want, problems)
			}
		}
	}
}

func TestTryTellsWhatIsWrong(t *testing.T) {
	b := open(t)
	tests := []struct {
		c    change
		says string
	}{
		{to("wide", "90 in"), "wide must lie"},
		{to("wide", "3 lb"), "wide"},
		{to("wide", ""), "wide is left empty"},
		{change{Name: "wide"}, "wide"},
		{to("width", "30 in"), "did you mean wide?"},
		{to("cover", "quay_velvt"), "did you mean quay_velvet?"},
		{to("wide", strings.Repeat("(", 1000)), "wide"},
		{to(offName, "0"), "at least one"},
		{to(dateName, "2026-02-30"), "2026-02-30"},
		{to(titleName, "two\nlines"), "order title"},
	}
	for _, tt := range tests {
		if html, problems := b.tries(wish{Order: "7", Changes: []change{tt.c}}); html != "" || !strings.Contains(problems, tt.says) {
			t.Errorf("%v: %s", tt.c, problems)
		}
	}
	if _, problems := b.tries(wish{Order: "70"}); !strings.Contains(problems, "no longer there") {
		t.Errorf("an order that is not there: %s", problems)
	}
	if _, problems := b.tries(wish{Order: "70", Changes: []change{to("wide", "9 in")}}); !strings.Contains(problems, "no longer there") {
		t.Errorf("a change of an order that is not there: %s", problems)
	}
}

// While an order cannot be read in the files, its last good numbers and fields stay, and are told to be old.
func TestTryGivesOldNumbersWhereTheFilesAreWrong(t *testing.T) {
	b := open(t)
	house, orders := b.read("house.squab"), b.read("orders.squab")
	tests := []struct {
		name string
		do   func()
		says string
	}{
		{"a rule with a mistake", func() { b.write("house.squab", house+"\nrule broken: length = 1 lb\n") }, "rule broken"},
		{"no rules", func() { b.write("house.squab", "") }, "seat_pad"},
		{"an order with a mistake", func() { b.replace("orders.squab", "30 in", "30 lb") }, "30 lb"},
		{"an order that is not closed", func() { b.replace("orders.squab", "}\n\norder 8", "\norder 8") }, "order 7"},
	}
	for _, tt := range tests {
		tt.do()
		b.renew()
		html, problems := b.tries(wish{Order: "7", Blank: true})
		if !strings.Contains(problems, tt.says) || !strings.Contains(html, ">31 in</data>") {
			t.Errorf("%s: problems %q, and the last good sheet: %.200s", tt.name, problems, html)
		}
		if html, problems := b.tries(wish{Order: "7"}); html != "" || problems == "" {
			t.Errorf("%s: a page that shows a sheet is sent it again, or no problems: %q", tt.name, problems)
		}
		if status, text := b.request("GET", "/?order=7&key="+b.Key, "", nil); status != 200 || !strings.Contains(text, `data-kept="20 in"`) {
			t.Errorf("%s: the page: %d: %.200s", tt.name, status, text)
		}
		if fields := b.says().Fields; fields != "" {
			t.Errorf("%s: the fields are changed to %s", tt.name, fields)
		}
		b.write("house.squab", house)
		b.write("orders.squab", orders)
		b.renew()
		if html, problems := b.tries(wish{Order: "7"}); problems != "" || !strings.Contains(html, ">31 in</data>") {
			t.Errorf("%s, mended: %s", tt.name, problems)
		}
	}
}

// What is wrong in one order is told of on the page of another, and keeps nothing from being worked out there.
func TestTryTellsWhatIsWrongElsewhere(t *testing.T) {
	b := open(t)
	orders := b.read("orders.squab")
	for wrong, says := range map[string]string{strings.Replace(orders, "15 in", "15 lb", 1): "15 lb", orders + "\norder 10 {\n": "order 10 {"} {
		b.write("orders.squab", wrong)
		b.renew()
		_, text := b.post("/try", wish{Order: "7", Changes: []change{to("wide", "33 in")}})
		n := newsOf(t, text)[0]
		if n.HTML == nil || !strings.Contains(*n.HTML, ">34 in</data>") || n.Elsewhere == nil || !strings.Contains(*n.Elsewhere, says) {
			t.Errorf("%s: the answer is %.300s", says, text)
		}
	}
}

// A layout that is not proved at once is shown at once, told of while it is improved, and shown again.
func TestTryImprovesTheLayout(t *testing.T) {
	b := openWith(t, 20_000, "house.squab", jig(t))
	_, text := b.post("/try", wish{Order: "1", Changes: []change{to("more", "1/8 in")}})
	var kinds []string
	for _, n := range newsOf(t, text) {
		switch {
		case n.HTML != nil:
			kinds = append(kinds, fmt.Sprintf("sheet, last %v", n.Done))
		case n.Problems != nil:
			t.Fatal(*n.Problems)
		case n.Progress != nil && kinds[len(kinds)-1] != "progress":
			kinds = append(kinds, "progress")
			if n.Progress.Material != "Harbour <i>tweed</i>" || !strings.HasSuffix(n.Progress.Over, "%") {
				t.Errorf("the progress is %+v", *n.Progress)
			}
		}
	}
	if diff := cmp.Diff([]string{"sheet, last false", "progress", "sheet, last true"}, kinds); diff != "" {
		t.Errorf("what is told (-want +got):\n%s", diff)
	}
}

// improves asks for order 1, and gives back as soon as its layout is being improved.
func (b *bench) improves(ctx context.Context) {
	b.t.Helper()
	r, err := http.NewRequestWithContext(ctx, "POST", "http://"+b.host+"/try", strings.NewReader(`{"order":"1","changes":[]}`))
	if err != nil {
		b.t.Fatal(err)
	}
	b.asPage(r)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { answer.Body.Close() })
	in := bufio.NewReader(answer.Body)
	for _, want := range []string{`"html"`, `"progress"`} {
		if line, err := in.ReadString('\n'); err != nil || !strings.Contains(line, want) {
			b.t.Fatalf("%v: %.100s, want %s", err, line, want)
		}
	}
}

// How far a layout is over the least is told in tenths of a hundredth, each once, and not where nothing is known of the least.
func TestProgress(t *testing.T) {
	var out bytes.Buffer
	w := httptest.NewRecorder()
	w.Body = &out
	tell := trial{out: &stream{w: w, out: http.NewResponseController(w)}}.progress()
	m := &check.Material{Name: "tweed"}
	for _, p := range []layout.Progress{{Used: 10, Bound: 0}, {Used: 1032, Bound: 1000}, {Used: 10323, Bound: 10000}, {Used: 7, Bound: 7}, {Used: 2500, Bound: 1000}} {
		tell(m, p)
	}
	tell(&check.Material{Name: "tweed", Title: "Harbour tweed"}, layout.Progress{Used: 2500, Bound: 1000})
	var got []string
	for _, n := range newsOf(t, out.String()) {
		got = append(got, n.Progress.Material+" "+n.Progress.Over)
	}
	if diff := cmp.Diff([]string{"tweed 3.2%", "tweed 0.0%", "tweed 150.0%", "Harbour tweed 150.0%"}, got); diff != "" {
		t.Errorf("what is told (-want +got):\n%s", diff)
	}
}

// A page that goes away, or that asks for a newer value, ends the layout that it waited for: this one would not end by itself.
func TestTryEndsWithThePage(t *testing.T) {
	b := openWith(t, 1<<50, "house.squab", jig(t))
	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	b.improves(ctx)
	if b.trying.Load() != 1 {
		t.Fatal("the layout ended by itself")
	}
	leave()
	b.eventually("the layout is given up", func() bool { return b.trying.Load() == 0 })
	b.now().result(ctx, "1", b.options.today(), 1<<50)
	if _, known := b.now().kept[keptKey{"1", b.options.today(), 1 << 50}]; known {
		t.Error("a layout that was given up is taken for what the order comes to")
	}
}
