package audit_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/evaltest"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// randomBook gives the text of the n-th random book; false where something is wrong with it.
func randomBook(n uint64) (string, bool) {
	text := evaltest.Book(evaltest.Choices(n))
	return text, sound(text) != nil
}

// sound checks a text, and gives its program where nothing is wrong with the rules.
func sound(text string) *check.Program {
	var problems diag.List
	files := &diag.Files{}
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, &problems)
	p := check.Check(files, []*lang.File{tree}, &problems)
	if problems.HasErrors() || !p.Sound {
		return nil
	}
	return p
}

var lengthText = regexp.MustCompile(`\b\d+(/\d+)? in\b`)

// changedText puts about half of the lengths of a text, behind the trade that every book begins with, otherwise.
func changedText(r *rand.Rand, text string) string {
	for _, p := range lengthText.FindAllStringIndex(text, -1) {
		if p[0] >= len(evaltest.Trade) && r.IntN(2) == 0 {
			text = text[:p[0]] + string(rune('1'+r.IntN(9))) + text[p[0]+1:] // every other place stays where it is
		}
	}
	return text
}

// withCauses makes the old text with what some causes changed as it is in the new.
func withCauses(files *diag.Files, before string, causes []audit.Cause) string {
	sorted := slices.Clone(causes)
	slices.SortFunc(sorted, func(a, b audit.Cause) int { return int(b.Old.Start) - int(a.Old.Start) })
	base := files.Sources()[0].Base
	for _, c := range sorted {
		before = before[:c.Old.Start-base] + files.Text(c.New) + before[c.Old.End-base:]
	}
	return before
}

// factOf is a fact of an order of a text, as text; "" where there is none, or the text does not check.
func factOf(text, order, name string) string {
	p := sound(text)
	if p == nil {
		return ""
	}
	for _, o := range p.Orders {
		if o.ID != order {
			continue
		}
		r, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
		var why []string
		for _, d := range problems {
			why = append(why, d.Message)
		}
		for _, f := range audit.Facts(r, why) {
			if f.Name == name {
				return "=" + f.Value.Num.String() + f.Value.Text()
			}
		}
	}
	return ""
}

// Root causes of random changes of random books, applied alone to the text of the old book, make the change; without any one of them they do not.
func TestCausesOfRandomChangesAloneMakeThem(t *testing.T) {
	want := 8
	if testing.Short() {
		want = 2
	}
	r := rand.New(rand.NewPCG(11, 7))
	held, several := 0, 0
	for n := 0; held < want && n < 4000; n++ {
		before, ok := randomBook(uint64(n))
		if !ok || !makesAny(before) {
			continue
		}
		after := changedText(r, before)
		if sound(after) == nil || after == before {
			continue
		}
		files := &diag.Files{}
		c, problems := audit.Compare(bookOf(t, files, before), bookOf(t, files, after), audit.Runner{})
		if len(problems) > 0 {
			t.Fatalf("book %d: %s", n, problems[0].Message)
		}
		for _, ch := range firstOfEach(c.Changes) {
			if err := causesHold(files, before, after, ch); err != nil {
				t.Fatalf("book %d: %v\n%s", n, err, after)
			}
			held++
			if len(ch.Causes) > 1 {
				several++
			}
		}
	}
	t.Logf("%d changes held, %d of several causes", held, several)
	if held < want || several == 0 && !testing.Short() {
		t.Errorf("only %d changes held, %d of them of several causes", held, several)
	}
}

// makesAny reports whether any order of a text can be made.
func makesAny(text string) bool {
	p := sound(text)
	return slices.ContainsFunc(p.Orders, func(o *check.Order) bool {
		_, problems := (&eval.Engine{Program: p}).Work(o, o.Date)
		return len(problems) == 0
	})
}

// firstOfEach keeps one change of each order and causes: the others rest on the same.
func firstOfEach(changes []audit.Change) []audit.Change {
	seen := map[string]bool{}
	return slices.DeleteFunc(slices.Clone(changes), func(ch audit.Change) bool {
		key := fmt.Sprint(ch.Order, ch.Causes)
		was := seen[key]
		seen[key] = true
		return was
	})
}

func causesHold(files *diag.Files, before, after string, ch audit.Change) error {
	is := factOf(after, ch.Order, ch.Name)
	if got := factOf(withCauses(files, before, ch.Causes), ch.Order, ch.Name); got != is {
		return fmt.Errorf("order %s, %s: with its causes alone %v it is %q, not %q", ch.Order, ch.Name, ch.Causes, got, is)
	}
	for i, c := range ch.Causes {
		rest := slices.Delete(slices.Clone(ch.Causes), i, i+1)
		if got := factOf(withCauses(files, before, rest), ch.Order, ch.Name); got == is {
			return fmt.Errorf("order %s, %s: without %s it comes out the same", ch.Order, ch.Name, c.Label)
		}
	}
	return nil
}

// What seek finds in random books, put into the order and worked out afresh, meets the target; and a value of the grid that meets it is found.
func TestSeekOfRandomBooksMeetsItsTarget(t *testing.T) {
	books := 120
	if testing.Short() {
		books = 40
	}
	found := 0
	for n := range books {
		text, ok := randomBook(uint64(n))
		if !ok {
			continue
		}
		p := sound(text)
		for _, o := range p.Orders {
			count, err := seekAll(p, o)
			if err != nil {
				t.Fatalf("book %d, order %s: %v\n%s", n, o.ID, err, text)
			}
			found += count
		}
	}
	if found < books/2 {
		t.Errorf("only %d answers were found", found)
	}
}

// seekAll seeks, for each length of an order that rests on its width, what the length comes to at 9 in wide.
func seekAll(p *check.Program, o *check.Order) (found int, err error) {
	e := &eval.Engine{Program: p}
	ask := o.Recipe.Cell("wide")
	plan := e.Plan(o.Recipe, o.Date, o)
	at9 := filled(plan, o, ask, quantity.Int(9))
	from, to, step := quantity.Int(3), quantity.Int(15), quantity.Frac(3, 4)
	for i, slot := range plan.Slots {
		want, fault := at9.Value(i)
		if fault != nil || !slot.Cell.Type.IsLength() || !plan.RestsOn(i, ask.Index) || i == ask.Index || len(at9.Refused()) > 0 {
			continue
		}
		for _, op := range []lang.BinaryOp{lang.Eq, lang.Le, lang.Ge} {
			target := audit.Target{Op: op, Value: want.Num}
			got, err := audit.Question{Engine: e, Order: o, Day: o.Date, Cell: slot.Name, Ask: "wide"}.Seek(target, audit.Search{From: &from, To: &to, Step: &step})
			if err != nil {
				return found, fmt.Errorf("%s: %w", slot.Name, err)
			}
			if err := answersHold(plan, o, ask, i, target, got); err != nil {
				return found, fmt.Errorf("%s %s %s: %w", slot.Name, op, want.Num, err)
			}
			found += len(got.Stretches)
		}
	}
	return found, nil
}

// filled fills an order in afresh with another value of an ask.
func filled(plan *eval.Plan, o *check.Order, ask *check.Cell, x quantity.Number) *eval.Sheet {
	changed := *o
	changed.Given = maps.Clone(o.Given)
	changed.Given[ask.Index] = &check.Cell{Name: ask.Name, Type: ask.Type, Index: ask.Index, Expr: check.Literal(check.Num(x), ask.Type, diag.Span{})}
	s := plan.NewSheet()
	s.Fill(&changed)
	return s
}

func answersHold(plan *eval.Plan, o *check.Order, ask *check.Cell, slot int, target audit.Target, got audit.Found) error {
	at9 := false
	nine := quantity.Int(9)
	for _, s := range got.Stretches {
		for _, x := range []quantity.Number{s.From, s.To} {
			v, fault := filled(plan, o, ask, x).Value(slot)
			if fault != nil || !meetsTarget(v.Num, target) {
				return fmt.Errorf("%s in wide gives %s, which does not meet it", x, v.Num)
			}
		}
		low, _ := s.From.Cmp(nine)
		high, _ := s.To.Cmp(nine)
		at9 = at9 || low <= 0 && high >= 0
	}
	if !at9 {
		return fmt.Errorf("9 in, which meets it, is not in %v", stretches(got))
	}
	return nil
}

func meetsTarget(v quantity.Number, target audit.Target) bool {
	order, decided := v.Cmp(target.Value)
	switch target.Op {
	case lang.Le:
		return decided && order <= 0
	case lang.Ge:
		return decided && order >= 0
	}
	return decided && order == 0
}
