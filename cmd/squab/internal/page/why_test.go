package page

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/trace"
	"squab/lang/diag"
)

// TestTicketSaysAllThatTheTraceDoes walks the whole derivation of each size, mark, line and total of an order, and looks for every formula, reason, source,
// note, and whatever was passed over or lies beneath, in the text of its ticket.
func TestTicketSaysAllThatTheTraceDoes(t *testing.T) {
	for _, r := range append(workroom(t)[:2], exampleOrders(t)[:4]...) {
		text := strings.Join(strings.Fields(readBack(t, ticketsOf(t, r)).text.String()), " ")
		seen := map[string]bool{}
		for _, name := range namedOn(r) {
			root, err := trace.Explain(r.Sheet, r, name)
			if err != nil {
				t.Fatalf("%s: %v", r.Order.ID, err)
			}
			eachNode(root, func(n *trace.Node) {
				for _, part := range partsOf(n) {
					part = strings.Join(strings.Fields(part), " ")
					if !seen[part] && !strings.Contains(text, part) {
						t.Errorf("%s, %s: the trace of %s says %q, and the ticket does not", r.Order.ID, name, n.Name, part)
					}
					seen[part] = true
				}
			})
		}
		if len(seen) < 30 {
			t.Errorf("%s: only %d things were looked for", r.Order.ID, len(seen))
		}
	}
}

// namedOn lists what a ticket explains, by the names that a trace knows.
func namedOn(r *eval.Result) []string {
	var all []string
	for _, p := range r.Pieces {
		all = append(all, p.Name+".wide")
		if inches(p.Deep) == 0 {
			all[len(all)-1] = p.Name + ".long"
			continue
		}
		all = append(all, p.Name+".deep")
	}
	for _, m := range r.Marks {
		all = append(all, m.Name+"[1].x", m.Name+"[1].y")
		if holeRadius(m) > 0 {
			all = append(all, m.Name+".hole")
		}
	}
	for _, l := range r.Work {
		all = append(all, "work."+l.Name)
	}
	for _, l := range r.Price {
		all = append(all, "price."+l.Name)
	}
	return all
}

func eachNode(n *trace.Node, do func(*trace.Node)) {
	do(n)
	for _, from := range n.From {
		eachNode(from, do)
	}
}

// partsOf is what a node says of itself, apart from where it stands.
func partsOf(n *trace.Node) []string {
	if n.Same {
		return nil
	}
	all := append([]string{n.Name + " = " + n.Shown, n.Because, n.Source, n.Chosen, n.Where()}, n.Notes...)
	if n.Formula != n.Shown {
		all = append(all, n.Formula)
	}
	for _, p := range n.Passed {
		all = append(all, p.Text, p.Why, p.Where())
	}
	for _, u := range n.Beneath {
		all = append(all, u.Text, u.Because, u.Source, u.Why, u.Where())
	}
	return all
}

// Two levels of a derivation stand where the number is, though they stand elsewhere too; what lies deeper is led to where it stands.
func TestDerivationsStandInPlaceToTwoLevels(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	r.cell("price.total")
	links := map[int]int{}
	var look func(w *Why, level int)
	look = func(w *Why, level int) {
		if w.Same != "" {
			links[level]++
		}
		for _, from := range w.From {
			look(from, level+1)
		}
	}
	again := r.cell("price.total").Why
	look(again, 0)
	if links[0]+links[1] > 0 || links[2] == 0 || len(again.From) < 3 {
		t.Errorf("told for the second time, of %d steps so many are led to, by level: %v", len(again.From), links)
	}
}

// What a number said before a change is told where it is something else now, though both be shown alike.
func TestWas(t *testing.T) {
	was := Num{Shown: "~46 in", Exact: "4601/100", Unit: "in"}
	for _, tt := range []struct {
		name   string
		before map[string]Num
		now    Num
		want   string
	}{
		{"nothing to compare with", nil, was, ""},
		{"the same", map[string]Num{"wide": was}, was, ""},
		{"another value", map[string]Num{"wide": was}, Num{Shown: "47 in", Exact: "47", Unit: "in"}, "~46 in"},
		{"another value that is shown alike", map[string]Num{"wide": was}, Num{Shown: "~46 in", Exact: "4602/100", Unit: "in"}, "~46 in"},
		{"another word for the same", map[string]Num{"wide": was}, Num{Shown: "46 in", Exact: "4601/100", Unit: "in"}, "~46 in"},
		{"another unit", map[string]Num{"wide": was}, Num{Shown: "~46 in", Exact: "4601/100", Unit: "mm"}, "~46 in"},
		{"new", map[string]Num{"deep": was}, was, "not there"},
	} {
		r := newReasons(workroom(t)[0], "")
		r.before = tt.before
		if got := r.was("wide", tt.now); got != tt.want || r.said["wide"] != tt.now {
			t.Errorf("%s: it was %q, want %q", tt.name, got, tt.want)
		}
	}
}

// A place is a file's name and line; the folders that lead to a house's file are the machine's own business.
func TestPlaceText(t *testing.T) {
	files := &diag.Files{}
	for want, src := range map[string]*diag.Source{
		"house.squab:2":       files.Add("heron/rules/house.squab", "a\nb\n", diag.House),
		"trade/kinds.squab:2": files.Add("trade/kinds.squab", "a\nb\n", diag.Trade),
	} {
		if got := placeText(files, diag.Span{Start: src.Base + 2, End: src.Base + 3}); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if got := placeText(files, diag.Span{}); got != "" {
		t.Errorf("nowhere is %s", got)
	}
}

// Who settled a value is told in a word or two.
func TestOrigin(t *testing.T) {
	for want, n := range map[string]trace.Node{
		"given by the order": {Role: trace.Given}, "default": {Role: trace.Default}, "material": {Role: trace.ByField}, "worked out": {Role: trace.Worked},
		"trade rule": {Role: trace.ByRule, Layer: diag.Trade}, "house rule": {Role: trace.ByRule, Layer: diag.House}, "rule of this order": {Role: trace.ByRule, Layer: diag.Order},
		"": {Role: trace.ByLine},
	} {
		if got := origin(&n); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// An amendment says what it lies over, with what that would give and why.
func TestWhySaysWhatAnAmendmentLiesOver(t *testing.T) {
	r := newReasons(workroom(t)[0], "")
	var got []string
	var look func(*Why)
	look = func(w *Why) {
		for _, u := range w.Under {
			whose, _, _ := strings.Cut(u.Origin, ":")
			got = append(got, w.Name+" = "+w.Shown+" over "+u.Text+" ("+whose+") because "+u.Because)
		}
		for _, from := range w.From {
			look(from)
		}
	}
	look(r.cell("drop").Why)
	want := []string{"turn_under = 1 3/4 in over 1 1/2 in (house, workroom.squab) because room for pliers and a double row of staples; common practice, no source"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("amendments (-want +got):\n%s", diff)
	}
}
