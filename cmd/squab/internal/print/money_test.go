package print

import (
	"encoding/json"
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/audit"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/eval/trace"
)

// TestRatesOfStaplesAreWrittenOut holds prices of less than a cent to what they are: up to five places exactly, beyond that marked as rounded.
func TestRatesOfStaplesAreWrittenOut(t *testing.T) {
	p, r := worked(t)
	each, ok := p.Units.Lookup("each")
	if !ok {
		t.Fatal("there is no unit each")
	}
	for _, c := range []struct {
		price   quantity.Number
		want    string
		inexact bool
	}{
		{quantity.Int(5), "£5.00 per each", false},
		{quantity.Frac(7, 2000), "£0.0035 per each", false},
		{quantity.Frac(1, 100_000), "£0.00001 per each", false},
		{quantity.Frac(123_457, 100_000), "£1.23457 per each", false},
		{quantity.Frac(12_345_678, 10_000_000), "~£1.23457 per each", true},
		{quantity.Frac(1, 3), "~£0.33333 per each", true},
	} {
		w := NewWriter(Page{}, p).text
		w.r = r
		if got := w.rate(c.price, each); got != c.want || w.inexact != c.inexact {
			t.Errorf("%s a piece is %q, want %q; owed a word on rounding: %v", c.price, got, c.want, w.inexact)
		}
	}
}

// costs adds the cost of buying lines in another arithmetic.
func costs(lines []eval.BuyLine) *big.Rat {
	sum := new(big.Rat)
	for _, l := range lines {
		sum.Add(sum, l.Cost.Rat())
	}
	return sum
}

func TestTogetherAddsEveryLineOfEveryOrder(t *testing.T) {
	p, r := worked(t)
	if len(r.Buy) < 4 {
		t.Fatalf("the order buys %d things", len(r.Buy))
	}
	got := Page{}.Together(p, Joint{Orders: []*eval.Result{r, r, r}, Layouts: r.Layouts, Buy: r.Buy})
	once := costs(r.Buy)
	thrice := new(big.Rat).Mul(once, big.NewRat(3, 1))
	want := fmt.Sprintf("bought together: £%s; order by order: £%s", once.FloatString(2), thousands(thrice.FloatString(2)))
	if !strings.Contains(strings.Join(strings.Fields(got), " "), want) {
		t.Errorf("this is missing: %s\n%s", want, got)
	}
	if got := (Page{}).Together(p, Joint{Orders: []*eval.Result{r}}); got != "" {
		t.Errorf("without a layout it says %q", got)
	}
}

// thousands puts a comma into an amount of less than a million.
func thousands(amount string) string {
	whole, cents, _ := strings.Cut(amount, ".")
	if n := len(whole); n > 3 {
		whole = whole[:n-3] + "," + whole[n-3:]
	}
	return whole + "." + cents
}

// TestLeansKeepMoreAndLessApart shows a step that adds to a cell one way and takes more from it the other, and one that is refused.
func TestLeansKeepMoreAndLessApart(t *testing.T) {
	p, _ := worked(t)
	up, down := quantity.Int(2), quantity.Int(-3)
	leans := []audit.Lean{{Name: "wide", Sort: "ask", Step: quantity.Frac(5, 127), StepType: check.LengthType(), Up: &up, Down: &down},
		{Name: "markup", Sort: "rule", Step: quantity.Frac(1, 100), StepType: check.LengthType(), Share: true, Down: &up}}
	want := `price.total, for one small step of what it leans on:
  what    sort  a step of  more moves it  less moves it
  wide    ask        1 mm         +£2.00         -£3.00
  markup  rule         1%        refused         +£2.00
`
	if diff := cmp.Diff(want, Leans(p, "price.total", check.MoneyType(), leans)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	lines := LeansOf(p, "price.total", check.MoneyType(), leans).Leans
	if got := lines[0].More.Exact + " " + lines[0].Less.Exact + " " + lines[0].Step.Shown + " " + lines[1].Step.Exact; got != "2 -3 1 mm 1/100" || lines[1].More != nil {
		t.Errorf("as JSON: %s, %v", got, lines[1].More)
	}
}

// TestFoundSaysAllThatIsKnown writes a search that met its target, and one that did not.
func TestFoundSaysAllThatIsKnown(t *testing.T) {
	p, r := worked(t)
	wide := r.Recipe.Cell("wide")
	inches := func(mm int64) quantity.Number { return quantity.Frac(5*mm, 127) }
	least, most := quantity.Int(20), quantity.Int(35)
	met := audit.Found{Ask: wide, Kind: check.MoneyType(), Step: inches(1), From: inches(100), To: inches(1500), Refused: 3,
		Stretches: []audit.Stretch{{From: inches(100), To: inches(220)}, {From: inches(400), To: inches(400), Single: true}},
		Jumps:     []audit.Stretch{{From: inches(300), To: inches(301)}}}
	missed := audit.Found{Ask: wide, Kind: check.MoneyType(), Step: inches(1), From: inches(100), To: inches(1500), Least: &least, Most: &most}
	for _, c := range []struct {
		found audit.Found
		want  string
	}{
		{met, `wide from 100 mm to 220 mm
wide = 400 mm
between 300 mm and 301 mm, price.total goes past without meeting it: a
  rounding or a condition lies there
Looked at wide from 100 mm to 1500 mm, every 1 mm; a place where price.total
crosses and crosses back within one step is not seen.
For 3 of these values the order is refused.
`},
		{missed, `No value of wide gives price.total <= £4.
Over the range price.total runs from £20.00 to £35.00.
Looked at wide from 100 mm to 1500 mm, every 1 mm; a place where price.total
crosses and crosses back within one step is not seen.
`},
	} {
		if diff := cmp.Diff(c.want, Found(p, "price.total", "<= £4", c.found)); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	}
	got := FoundOf(p, "price.total", met)
	if text := got.Found[0].To.Shown + " " + got.Jumps[0].From.Exact + " " + got.Jumps[0].To.Unit + " " + got.From.Shown; text != "220 mm 300 mm 100 mm" || got.Refused != 3 {
		t.Errorf("as JSON: %s, %d refused", text, got.Refused)
	}
}

// TestMeasuresThatShareAPlaceAreKeptApart shows one number as a length, as money and bare, and other numbers between, with room for one measure and for many.
func TestMeasuresThatShareAPlaceAreKeptApart(t *testing.T) {
	p, _ := worked(t)
	for _, room := range []int{1, 2, recently} {
		m := newMeasures(p.Style, room)
		for range 2 {
			for _, c := range []struct {
				n    quantity.Number
				kind check.Type
				want string
			}{
				{quantity.Int(2), check.LengthType(), "~51 mm"},
				{quantity.Int(2), check.MoneyType(), "£2.00"},
				{quantity.Int(2), plainType, "2"},
				{quantity.Int(3), plainType, "3"},
				{quantity.Int(2), check.TimeType(), "2 min"},
				{quantity.Int(20), check.LengthType(), "508 mm"},
				{quantity.Int(20), check.LengthType(), "508 mm"},
			} {
				if got := m.of(c.n, c.kind).text; got != c.want {
					t.Errorf("with room for %d, %s is shown as %s, want %s", room, c.n, got, c.want)
				}
				want := fmt.Sprintf(`"shown":"%s"}`, c.want)
				if got := string(m.appendJSON(nil, c.n, c.kind)); !strings.HasSuffix(got, want) {
					t.Errorf("with room for %d, the JSON of %s is %s, want …%s", room, c.n, got, want)
				}
			}
		}
	}
}

// TestLayoutsKeepTheirFiguresApart writes a layout no two of whose measures are alike, on a roll in lengths and in sheets by number.
func TestLayoutsKeepTheirFiguresApart(t *testing.T) {
	p, _ := worked(t)
	for _, c := range []struct {
		form check.Form
		unit string
		used [2]string
	}{{check.Roll, "mm", [2]string{"254", "1143/5"}}, {check.Sheet, "", [2]string{"10", "9"}}} {
		l := eval.Layout{Material: &check.Material{Name: "felt"}, Form: c.form, Wide: quantity.Int(50), Used: quantity.Int(10), Bound: quantity.Int(9), Waste: quantity.Frac(1, 7),
			Laid: true, Placed: []eval.Placed{{Piece: "top", Order: "7", Copy: 2, Sheet: 3, Area: eval.Area{X: quantity.Int(1), Y: quantity.Int(2), Wide: quantity.Int(3), Deep: quantity.Int(4)}}}}
		var got struct{ Layouts []Layout }
		if err := json.Unmarshal([]byte(LaidJSON(p, []Laid{{Layout: l}})), &got); err != nil || len(got.Layouts) != 1 {
			t.Fatalf("%v, %d layouts", err, len(got.Layouts))
		}
		g, placed := got.Layouts[0], got.Layouts[0].Placed[0]
		figures := []string{g.Used.Exact, g.Used.Unit, g.Bound.Exact, g.Bound.Unit, g.Wide.Exact, g.Waste.Exact, placed.X.Exact, placed.Y.Exact, placed.Wide.Exact, placed.Deep.Exact}
		want := []string{c.used[0], c.unit, c.used[1], c.unit, "1270", "1/7", "127/5", "254/5", "381/5", "508/5"}
		if diff := cmp.Diff(want, figures); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.form, diff)
		}
		if g.Proved || placed.Copy != 2 || placed.Sheet != 3 {
			t.Errorf("%s: proved %v, copy %d on %d", c.form, g.Proved, placed.Copy, placed.Sheet)
		}
	}
}

// TestReachCountsEveryOrder has one order that used the target, one that did not and one that was refused.
func TestReachCountsEveryOrder(t *testing.T) {
	p, r := worked(t)
	other := *r
	other.Order = &check.Order{ID: "8"}
	a := ReachAnswer{Target: trace.Target{Name: "labour_rate", Sort: "rule", At: p.Orders[0].At}, Refused: []string{"9"}}
	a.Add(r, []string{"work.cutting", "price.labour"})
	a.Add(&other, nil)
	got := strings.Join(strings.Fields(Reach(p.Files, a)), " ")
	if want := "7 Tea tray work.cutting, price.labour Used by 1 of 3 orders. Not used by 8. Refused, so not known: 9;"; !strings.Contains(got, want) {
		t.Errorf("this is missing: %s\n%s", want, got)
	}
	if !strings.HasPrefix(got, "labour_rate is a rule, mat.squab:") {
		t.Errorf("it begins: %.60s", got)
	}
	none := ReachAnswer{Target: trace.Target{Name: "wide", Sort: "ask", At: p.Orders[0].At}, Unused: []string{"7", "8"}}
	if got := Reach(p.Files, none); !strings.HasPrefix(got, "wide is an ask, ") || !strings.HasSuffix(got, "\nUsed by 0 of 2 orders.\n") {
		t.Errorf("of what no order used it says %q", got)
	}
	j := ReachOf(p.Files, a)
	if diff := cmp.Diff([]string{"8", "9", "7"}, append(append(j.Unused, j.Refused...), j.Orders[0].Order)); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestLabourAddsItsTimes adds up more than one line of work.
func TestLabourAddsItsTimes(t *testing.T) {
	p, r := worked(t)
	minutes := func(n int64) quantity.Number { return quantity.Int(n) }
	r.Work = []eval.WorkLine{{Name: "cutting", Time: minutes(20)}, {Name: "sewing", Time: minutes(55)}, {Name: "filling", Time: minutes(10)}}
	w := NewWriter(Page{}, p).text
	w.r = r
	w.labour()
	lines := strings.Split(strings.TrimSpace(w.b.String()), "\n")
	if diff := cmp.Diff("in all 1 h 25 min", strings.Join(strings.Fields(lines[len(lines)-1]), " ")); diff != "" {
		t.Error(diff)
	}
}
