package audit_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/lang"
)

func firstOrder(t testing.TB, text string) (*eval.Engine, *check.Order) {
	t.Helper()
	p := programOf(t, text)
	return &eval.Engine{Program: p}, p.Orders[0]
}

func stretches(f audit.Found) []string {
	var all []string
	for _, s := range f.Stretches {
		if s.Single {
			all = append(all, s.From.String())
			continue
		}
		all = append(all, s.From.String()+" to "+s.To.String())
	}
	return all
}

func TestSeek(t *testing.T) {
	// top.wide = wide + 2 * (2 + 1 1/2 + 1/4) + 2 * 1/2 = wide + 8 1/2
	tests := []struct {
		cell, ask string
		target    audit.Target
		want      []string
		refused   bool
	}{
		{"top.wide", "wide", audit.Target{Op: lang.Eq, Value: inches(54, 1)}, []string{"91/2"}, true},
		{"top.wide", "wide", audit.Target{Op: lang.Eq, Value: inches(163, 3)}, []string{"275/6"}, true}, // between two sixteenths, exactly
		{"top.wide", "wide", audit.Target{Op: lang.Le, Value: inches(54, 1)}, []string{"18 to 91/2"}, true},
		{"top.wide", "wide", audit.Target{Op: lang.Le, Value: inches(163, 3)}, []string{"18 to 275/6"}, true},
		{"top.wide", "wide", audit.Target{Op: lang.Eq, Value: inches(10, 1)}, nil, true},
		{"sewing.time", "deep", audit.Target{Op: lang.Eq, Value: inches(15, 1)}, []string{"305/16 to 20"}, false}, // 5 min and 10 s an inch begun: 60 in
		{"price.total", "deep", audit.Target{Op: lang.Le, Value: inches(1, 1)}, nil, false},
	}
	for _, test := range tests {
		t.Run(test.cell+string(test.target.Op)+test.target.Value.String(), func(t *testing.T) {
			e, o := firstOrder(t, house)
			found, err := audit.Question{Engine: e, Order: o, Cell: test.cell, Ask: test.ask}.Seek(test.target, audit.Search{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(test.want, stretches(found)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			if test.refused != (found.Refused > 0) {
				t.Errorf("%d values refused", found.Refused)
			}
			meets(t, test.cell, test.ask, test.target, found)
		})
	}
}

// meets puts the ends of what was found into the order, and works it out afresh.
func meets(t *testing.T, cell, ask string, target audit.Target, found audit.Found) {
	t.Helper()
	for _, s := range found.Stretches {
		for _, x := range []quantity.Number{s.From, s.To} {
			was := map[string]string{"wide": "wide  = 40 in", "deep": "deep  = 18 in"}[ask]
			text := edited(t, house, edit{"", was, ask + " = (" + x.String() + ") * 1 in"})
			e, o := firstOrder(t, text)
			s := e.Plan(o.Recipe, o.Date, o).NewSheet()
			s.Fill(o)
			v, fault := s.Value(s.Plan.Slot(cell))
			if fault != nil {
				t.Fatal(fault)
			}
			order, _ := v.Num.Cmp(target.Value)
			if target.Op == lang.Eq && order != 0 || target.Op == lang.Le && order > 0 {
				t.Errorf("%s = %s gives %s = %s", ask, x, cell, v.Num)
			}
		}
	}
}

func TestSeekSaysWhyThereIsNone(t *testing.T) {
	e, o := firstOrder(t, house)
	tests := []struct{ cell, ask, want string }{
		{"slab.deep", "wide", "does not rest on wide"},
		{"top.wied", "wide", "did you mean top.wide?"},
		{"top.wide", "widde", "did you mean wide?"},
		{"cover", "wide", "no measure but cloth"},
	}
	for _, test := range tests {
		_, err := audit.Question{Engine: e, Order: o, Cell: test.cell, Ask: test.ask}.Seek(audit.Target{Op: lang.Eq}, audit.Search{})
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s by %s: %v, want %q", test.cell, test.ask, err, test.want)
		}
	}
	jump, err := audit.Question{Engine: e, Order: o, Cell: "sewing.time", Ask: "deep"}.Seek(audit.Target{Op: lang.Eq, Value: inches(1501, 100)}, audit.Search{})
	if err != nil || len(jump.Stretches) != 0 || len(jump.Jumps) != 1 {
		t.Errorf("a value between two steps of a rounding: %v %v %v", jump.Stretches, jump.Jumps, err)
	}
}

func TestSensitivityRanksByHowFarTheCellMoves(t *testing.T) {
	e, o := firstOrder(t, house)
	leans, _, err := audit.Question{Engine: e, Order: o, Cell: "top.wide"}.Leans()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range leans {
		got = append(got, l.Sort+" "+l.Name+" "+l.Step.String()+" "+l.Up.String())
	}
	// twice for what stands at both edges, once for the width itself
	want := []string{"rule turn_under 1/16 1/8", "rule seam 1/16 1/8", "rule pull 1/16 1/8", "material firm.thick 1/16 1/8", "ask wide 1/16 1/16"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// What a rule is said to move a cell by is what comes of writing the rule anew, whichever of its cases the order takes.
func TestARulesLeanIsWhatAmendingItGives(t *testing.T) {
	e, o := firstOrder(t, house)
	leans, _, err := audit.Question{Engine: e, Order: o, Cell: "top.wide"}.Leans()
	if err != nil {
		t.Fatal(err)
	}
	rewritten := map[string]edit{
		"turn_under": {"", "turn_under: length = 1 1/2 in", "turn_under: length = 1 9/16 in"},
		"seam":       {"", "1/2 in otherwise", "9/16 in otherwise"},
		"pull":       {"", "up to 3 in   | 1/4 in", "up to 3 in   | 5/16 in"},
	}
	before := widthOf(t, e, o)
	for _, l := range leans {
		change, ok := rewritten[l.Name]
		if !ok {
			continue
		}
		delete(rewritten, l.Name)
		e, o := firstOrder(t, edited(t, house, change))
		if got := widthOf(t, e, o).Sub(before); !got.Equal(*l.Up) {
			t.Errorf("%s moves the width by %s, and written anew by %s", l.Name, l.Up, got)
		}
	}
	if len(rewritten) > 0 {
		t.Errorf("the width leans on none of %v", rewritten)
	}
}

func widthOf(t *testing.T, e *eval.Engine, o *check.Order) quantity.Number {
	t.Helper()
	s := e.Plan(o.Recipe, o.Date, o).NewSheet()
	s.Fill(o)
	v, fault := s.Value(s.Plan.Slot("top.wide"))
	if fault != nil {
		t.Fatal(fault)
	}
	return v.Num
}

func TestLengthsMayBeMovedByAShare(t *testing.T) {
	e, o := firstOrder(t, house)
	leans, _, err := audit.Question{Engine: e, Order: o, Cell: "top.wide", Share: true}.Leans()
	if err != nil || len(leans) == 0 {
		t.Fatal(leans, err)
	}
	if l := leans[0]; l.Name != "wide" || l.Step.String() != "2/5" || l.Up.String() != "2/5" {
		t.Errorf("a hundredth of 40 in moves the width first: %s by %s, %s", l.Name, l.Step, l.Up)
	}
}

// An ask's default may rest on an ask declared after it; what the one was moved by does not stay for the other.
func TestEachAskIsMovedAlone(t *testing.T) {
	text := edited(t, house,
		edit{"", "ask deep: length from 8 in to 40 in", "ask deep: length from 8 in to 40 in = wide / 2"},
		edit{"", "  deep  = 18 in\n", ""},
		edit{"", "need wide >= deep", "round = 2 * wide + 2 * deep\n  need wide >= deep"})
	e, o := firstOrder(t, text)
	leans, _, err := audit.Question{Engine: e, Order: o, Cell: "round"}.Leans()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range leans {
		got = append(got, l.Name+" "+l.Up.String()+" "+l.Down.String())
	}
	// a sixteenth wider is a thirty-second deeper: 2/16 + 2/32
	if diff := cmp.Diff([]string{"wide 3/16 -3/16", "deep 1/8 -1/8"}, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// Of an order that is refused it can be sought what it would take, but nothing leans on what is not there.
func TestQuestionsOfARefusedOrder(t *testing.T) {
	e, o := firstOrder(t, edited(t, house, edit{"", "wide  = 40 in", "wide  = 14 in"}))
	ask := func(cell string) (audit.Found, error) {
		return audit.Question{Engine: e, Order: o, Cell: cell, Ask: "deep"}.Seek(audit.Target{Op: lang.Le, Value: inches(150, 1)}, audit.Search{})
	}
	for _, cell := range []string{"price.total", "price.bought", "slab.deep"} {
		if found, err := ask(cell); err != nil || len(found.Stretches) == 0 {
			t.Errorf("%s: %v, %v", cell, stretches(found), err)
		}
	}
	for cell, want := range map[string]string{
		"buy.firm":    "no line, for order 1 is refused: swap wide and deep",
		"price.totel": "did you mean price.total?",
		"slab.from":   "there is no cell called slab.from",
	} {
		if _, err := ask(cell); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "slab from") {
			t.Errorf("%s: %v, want %q", cell, err, want)
		}
	}
	if _, _, err := (audit.Question{Engine: e, Order: o, Cell: "slab.wide"}).Leans(); err == nil || !strings.Contains(err.Error(), "slab.wide cannot be worked out as order 1 stands: swap wide and deep") {
		t.Errorf("a refused order is leant on: %v", err)
	}
}

// What cannot be looked through is told, not looked for.
func TestSearchesThatEndNowhereAreTold(t *testing.T) {
	e, o := firstOrder(t, house)
	nothing, below, one, ten, tiny := inches(0, 1), inches(-1, 1), inches(1, 1), inches(10, 1), inches(1, 100_000)
	for _, test := range []struct {
		where audit.Search
		want  string
	}{
		{audit.Search{Step: &nothing}, "must be more than nothing"},
		{audit.Search{Step: &below}, "must be more than nothing"},
		{audit.Search{From: &ten, To: &one}, "the range of wide is empty"},
		{audit.Search{Step: &tiny}, "the range of wide holds more than 100000 steps"},
	} {
		_, err := audit.Question{Engine: e, Order: o, Cell: "top.wide", Ask: "wide"}.Seek(audit.Target{Op: lang.Eq}, test.where)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%v, want %q", err, test.want)
		}
	}
	open, _ := firstOrder(t, edited(t, house, edit{"", "ask wide: length from 10 in to 96 in", "ask wide: length"}))
	_, err := audit.Question{Engine: open, Order: open.Program.Orders[0], Cell: "top.wide", Ask: "wide"}.Seek(audit.Target{Op: lang.Eq}, audit.Search{From: &one})
	if err == nil || !strings.Contains(err.Error(), "wide has no range to look through") {
		t.Errorf("a range without an end: %v", err)
	}
}
