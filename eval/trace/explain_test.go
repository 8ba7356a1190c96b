package trace_test

import (
	"fmt"
	"strings"
	"testing"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/trace"
)

// flat is a trace's text on one line, without the tree's lines.
func flat(p *check.Program, n *trace.Node) string {
	return strings.Join(strings.Fields(strings.NewReplacer("│", "", "├", "", "└", "").Replace(trace.Text(n, p.Files, 80))), " ")
}

// workedOut works the only order of a book out.
func workedOut(t *testing.T, p *check.Program) *eval.Result {
	t.Helper()
	r, problems := (&eval.Engine{Program: p}).Work(p.Orders[0], p.Orders[0].Date)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return r
}

// texts gives the formulas inside the steps of a recipe and its parts, with the first slot of each part.
func texts(r *check.Recipe, home int, each func(home int, e check.Expr)) {
	for _, st := range r.Steps {
		if st.Text == nil {
			continue
		}
		if text, ok := st.Text.Expr.(*check.TextOf); ok {
			for _, part := range text.Parts {
				if part.Hole != nil {
					each(home, part.Hole)
				}
			}
		}
	}
	for _, part := range r.Parts {
		texts(part.Recipe, home+part.Offset, each)
	}
}

// A formula inside a step opens like any cell: each node of it is worked out again from what the trace says, down to the order and the book.
func TestFormulasInsideStepsOpenFully(t *testing.T) {
	p := workroom(t)
	e := &eval.Engine{Program: p}
	holes := 0
	for _, o := range p.Orders {
		r, problems := e.Work(o, o.Date)
		if len(problems) > 0 {
			t.Fatal(o.ID, problems)
		}
		known := newAgain(r.Sheet)
		texts(o.Recipe, 0, func(home int, hole check.Expr) {
			n := trace.Formula(r.Sheet, r, home, hole)
			a := &audit{again: *known, files: p.Files, full: map[string]*trace.Node{}}
			text := trace.Text(n, p.Files, 80)
			if err := a.hold(n, text); err != nil {
				t.Errorf("order %s, {%s}: %v\n%s", o.ID, p.Files.Text(hole.Span()), err, text)
			}
			if want, _ := r.Sheet.Scope(home).Eval(hole); !close(want, n.Value) {
				t.Errorf("order %s, {%s} is traced as %s", o.ID, p.Files.Text(hole.Span()), n.Shown)
			}
			if holes++; n.Role == trace.ByRule && n.Fault == nil && n.Formula == "" {
				t.Errorf("order %s, {%s} does not open", o.ID, p.Files.Text(hole.Span()))
			}
		})
	}
	if holes < 30 {
		t.Errorf("only %d formulas in steps were looked at", holes)
	}
}

const renaming = `
choice stuff = woven, velvet
kind cloth: roll {
  usable: length = 54 in
  stuff:  stuff = woven
  price:  money per length = $1 per yd
  sold:   length = 1/4 yd
}
material tweed: cloth {
  usable = 50 in
}
amend material tweed from 2026-06-01 {
  usable = 49 in  because "the new mill"
}
rule lap: length = 2 in
rule seam(c: cloth, far: length): length {
  1/2 in + far / 8 otherwise
}
amend seam(x, y) {
  3/8 in when x.stuff is velvet and y < 4 in
}
recipe pad {
  ask cover: cloth
  s = seam(cover, 8 in)
}
order 1 {
  make pad
  date = 2026-04-02
  cover = tweed
}
`

func TestWhatTheBookNamesIsExplained(t *testing.T) {
	p := programOf(t, false, renaming)
	r := workedOut(t, p)
	tests := []struct{ asked, want string }{
		{"s", "not 3/8 in when x.stuff is velvet and y < 4 in [house, house.squab:20], where x = tweed, y = 8 in: x.stuff is woven, not velvet"},
		{"s", "= 1/2 in + far / 8 where far = 8 in not"},
		{"tweed.usable", "tweed.usable = 50 in [material, house.squab:10] not 49 in [house, house.squab:13]: it holds from 2026-06-01, and the order is of 2026-04-02"},
		{"cover.usable", "cover.usable = 50 in [house.squab:23] = tweed.usable cover = tweed [the order, house.squab:29] tweed.usable = 50 in"},
		{"tweed.sold", "tweed.sold = 9 in [default, house.squab:7]"},
		{"lap", "lap = 2 in [house rule, house.squab:15]"},
	}
	for _, test := range tests {
		n, err := trace.Explain(r.Sheet, r, test.asked)
		if err != nil {
			t.Errorf("%s: %v", test.asked, err)
			continue
		}
		if text := flat(p, n); !strings.Contains(text, test.want) {
			t.Errorf("%s does not say %q:\n%s", test.asked, test.want, text)
		}
	}
}

// A side of a size that the order gives comes from the order, not from the default that it stands in place of.
func TestASideOfWhatIsGivenComesFromTheOrder(t *testing.T) {
	p := programOf(t, false, `
recipe pad {
  ask opening: size = 1 in by 2 in
  ask other:   size = 3 in by 4 in
  hole = opening
  rest = other
}
order 1 {
  make pad
  opening = 5 in by 6 in
}
`)
	r := workedOut(t, p)
	for asked, want := range map[string]string{
		"hole.deep": "hole.deep = 6 in [house.squab:5] = opening.deep opening = 5 in by 6 in [the order, house.squab:10]",
		"rest.deep": "rest.deep = 4 in [house.squab:6]",
	} {
		n, err := trace.Explain(r.Sheet, r, asked)
		if err != nil {
			t.Fatal(asked, err)
		}
		if text := flat(p, n); text != want {
			t.Errorf("%s says %q, not %q", asked, text, want)
		}
	}
}

func TestWhatIsUnknownIsToldWithWhatIsNear(t *testing.T) {
	p := programOf(t, false, renaming)
	r := workedOut(t, p)
	for asked, want := range map[string]string{
		"seam":        "seam is a rule of c, far: ask what it gives for some, as 'seam(c, far)'",
		"lapp":        "did you mean lap?",
		"tweed.usble": "did you mean tweed.usable?",
		"cover.usble": "did you mean cover.usable?",
		"cover.a.b":   "there is no cell called cover.a.b",
		"cover[1]":    "there is no cell called cover[1]",
		"":            "there is no cell called",
	} {
		if _, err := trace.Explain(r.Sheet, r, asked); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", asked, err, want)
		}
	}
}

func TestAFieldIsTracedByItself(t *testing.T) {
	p := programOf(t, false, renaming)
	r := workedOut(t, p)
	n := trace.Field(r.Sheet, r, p.Material("tweed"), "usable")
	if n == nil || n.Name != "tweed.usable" || n.Shown != "50 in" || n.Role != trace.ByField || len(n.Passed) != 1 {
		t.Errorf("tweed's usable width: %+v", n)
	}
	if n := trace.Field(r.Sheet, r, p.Material("tweed"), "loft"); n != nil {
		t.Errorf("tweed has no loft, yet it is traced: %+v", n)
	}
}

// Whatever a person may ask for is explained or is told not to be there, with what would be right where that is near.
func TestWhateverIsAskedForIsAnswered(t *testing.T) {
	p := programOf(t, false, layered+"recipe spots {\n  ask wide: length = 12 in\n  spots = for each i from 1 to 3: (i * wide at 2 in)\n  gaps = [1 in, 2 in]\n}\n"+"order 1 {\n  make spots\n  date = 2026-04-02\n}\n")
	r := workedOut(t, p)
	for name, want := range map[string]string{
		"gaps[2]":                       "",
		"spots[3].x":                    "",
		"gaps.":                         "there is no cell called gaps.; did you mean gaps?",
		"gaps..x":                       "there is no cell called gaps..x",
		"gaps[3]":                       "gaps: there is no item 3: the list ends at 2",
		"gaps[0]":                       "[0] is no place in a list: items are counted from 1",
		"gaps[-1]":                      "[-1] is no place in a list",
		"gaps[two]":                     "[two] is no place in a list",
		"gaps[]":                        "[] is no place in a list",
		"gaps[99999999999999999999999]": "is no place in a list",
		"gaps[1":                        "an item of a list is asked for so: buttons[3].x",
		"gaps[1].":                      "an item of a list is asked for so",
		"gaps[1]x":                      "an item of a list is asked for so",
		"gaps[1].x":                     "gaps: length has no x",
		"gaps[1][1]":                    "gaps: length is no list",
		"spots[1].wide":                 "spots: point has no wide",
		"spots[1][1]":                   "spots: point is no list",
		"wide.x":                        "wide: length has no x",
		"[1]":                           "there is no cell called",
		"[":                             "an item of a list is asked for so",
		".":                             "there is no cell called .",
		"":                              "there is no cell called",
		"seam":                          "seam is a rule of c: ask what it gives for some, as 'seam(c)'",
		"tweed":                         "there is no cell called tweed",
		"tweed.loft":                    "there is no cell called tweed.loft; did you mean tweed.",
		"buy.tweed":                     "there is no cell called buy.tweed",
		"price.totl":                    "did you mean price.total?",
	} {
		n, err := trace.Explain(r.Sheet, r, name)
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) || err == nil && n.Name != name {
			t.Errorf("%q: %v, want %q", name, err, want)
		}
	}
}

// A cell of every kind may be asked for with anything after it.
func TestNothingAfterANameIsTooMuch(t *testing.T) {
	p, seen := workroom(t), map[string]bool{}
	for _, o := range p.Orders {
		s := (&eval.Engine{Program: p}).Plan(o.Recipe, o.Date, o).NewSheet()
		s.Fill(o)
		for i, slot := range s.Plan.Slots {
			kind := fmt.Sprint(slot.Cell.Type, slot.Cell.Role, slot.Formula != nil, s.Given(i) != nil)
			if seen[kind] {
				continue
			}
			seen[kind] = true
			for _, ending := range []string{"", ".", "[1]", "[1].x", "[9999]", ".wide", ".deep", ".x", ".price", ".price.x", "[1].price", ".é"} {
				n, err := trace.Explain(s, nil, slot.Name+ending)
				if (n == nil) == (err == nil) {
					t.Errorf("%s%s: %v, %v", slot.Name, ending, n, err)
				}
			}
		}
	}
}

func TestNamesOfLinesAreNear(t *testing.T) {
	p := programOf(t, false, statements)
	r := workedOut(t, p)
	for name, want := range map[string]string{
		"buy.twed":    "did you mean buy.tweed?",
		"work.sewin":  "did you mean work.sewing?",
		"buy.sewing":  "there is no cell called buy.sewing",
		"layout.used": "the order has layout.tweed.used, layout.birch.used",
	} {
		if _, err := trace.Explain(r.Sheet, r, name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", name, err, want)
		}
	}
}
