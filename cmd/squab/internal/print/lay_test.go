package print

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib/layout"
)

// millimetres is so many of them, as the shop of these tests shows lengths.
func millimetres(n int64) quantity.Number { return quantity.Frac(5*n, 127) }

func areaOf(x, y, wide, deep int64) eval.Area {
	return eval.Area{X: millimetres(x), Y: millimetres(y), Wide: millimetres(wide), Deep: millimetres(deep)}
}

// laidRoll, laidSheets and laidSticks use each thing that a layout can say; no two of the measures of one are alike.
func laidRoll() Laid {
	return Laid{Layout: eval.Layout{Material: &check.Material{Name: "felt"}, Form: check.Roll, Wide: millimetres(1500), Used: millimetres(900), Bound: millimetres(850), Waste: quantity.Frac(1, 8), Laid: true,
		Placed: []eval.Placed{{Piece: "seat", Copy: 1, Area: areaOf(10, 20, 300, 400)}, {Piece: "back", Copy: 2, Panel: 1, Area: areaOf(30, 40, 310, 410), Turned: true},
			{Piece: "arm", Copy: 3, Sheet: 1, Area: areaOf(50, 60, 320, 420), Ended: true}, {Piece: "cap", Copy: 4, Sheet: 2, Area: areaOf(70, 80, 330, 430), Turned: true, Ended: true},
			{Piece: "piping", Copy: 5, Area: areaOf(90, 100, 340, 440), Strips: 7}},
		Sheets:  []eval.Opened{{Name: "felt", Wide: millimetres(1500), Deep: millimetres(900)}, {Name: "remnant 1", Wide: millimetres(700), Deep: millimetres(600)}, {Name: "remnant 2", Wide: millimetres(710), Deep: millimetres(610)}},
		Offcuts: []eval.Offcut{{Name: "strip", Sheet: 1, Area: areaOf(500, 510, 520, 530)}}, SetBy: []string{"back 2", "seat 1"}, Rests: "the area of the pieces"},
		Sketch: "+--+\n|  |\n+--+\n", Unplaced: []layout.Unplaced{{Piece: "wing", Order: "7", Count: 3, Reason: "it is wider than the roll", Help: "let it be turned"}}, Verified: true}
}

func laidSheets() Laid {
	return Laid{Layout: eval.Layout{Material: &check.Material{Name: "ply"}, Form: check.Sheet, Wide: millimetres(1200), Used: quantity.Int(3), Bound: quantity.Int(2), Waste: quantity.Frac(2, 7), Laid: true,
		Goal:   &eval.Goal{Type: check.MoneyType(), Came: quantity.Int(100), Bound: quantity.Int(90)},
		Taken:  []eval.Taken{{Material: &check.Material{Name: "ply"}, Amount: quantity.Int(2)}, {Material: &check.Material{Name: "half ply"}, Amount: quantity.Int(1)}},
		Placed: []eval.Placed{{Piece: "shelf", Copy: 1, Sheet: 2, Area: areaOf(10, 20, 300, 400)}}, Sheets: []eval.Opened{{Name: "ply", Wide: millimetres(1200), Deep: millimetres(2400)}}},
		Faults: []string{"shelf 1 lies off its sheet"}}
}

func laidSticks() Laid {
	return Laid{Layout: eval.Layout{Material: &check.Material{Name: "lath"}, Form: check.Stick, Wide: millimetres(2400), Used: quantity.Int(1), Bound: quantity.Int(1), Waste: quantity.Frac(1, 3), Laid: true, Proved: true,
		Placed: []eval.Placed{{Piece: "rail", Copy: 2, Sheet: 1, Area: eval.Area{X: millimetres(310), Wide: millimetres(620)}}}, Sheets: []eval.Opened{{Name: "lath", Wide: millimetres(2400), Deep: millimetres(0)}}}}
}

func TestLaidText(t *testing.T) {
	p, _ := worked(t)
	want := `felt: 900 mm off a roll 1500 mm wide and 2 remnants, 13% waste; none can take
less than 850 mm
the length is set by back 2, seat 1
the bound rests on the area of the pieces

  piece   copy  part  remnant  across   along    wide    deep  turned
  seat       1                  10 mm   20 mm  300 mm  400 mm
  back       2     1            30 mm   40 mm  310 mm  410 mm  yes
  arm        3              1   50 mm   60 mm  320 mm  420 mm  end for end
  cap        4              2   70 mm   80 mm  330 mm  430 mm  yes, and end for end
  piping     5                  90 mm  100 mm  340 mm  440 mm  7 bias strips

+--+
|  |
+--+
not laid: wing, 3 off: it is wider than the roll: let it be turned
verified: checked again by its own code, and nothing is wrong

ply: 3 sheets (2 ply, 1 half ply), £100.00, 29% waste; none can cost less than
£90.00

  piece  copy  sheet  across  along    wide    deep  turned
  shelf     1      2   10 mm  20 mm  300 mm  400 mm

wrong: shelf 1 lies off its sheet

lath: 1 length, 33% waste; no layout takes less

  piece  copy  stick    from    long
  rail      2      1  310 mm  620 mm

`
	if diff := cmp.Diff(want, Page{}.Laid(p, []Laid{laidRoll(), laidSheets(), laidSticks()})); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	nothing := laidRoll()
	nothing.Placed, nothing.Sketch, nothing.Verified = nil, "", false
	if diff := cmp.Diff("nothing is laid\nnot laid: wing, 3 off: it is wider than the roll: let it be turned\n", Page{}.Laid(p, []Laid{nothing})); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// TestLaidJSONReadsBack holds the JSON of layouts against what was laid, each measure by its place.
func TestLaidJSONReadsBack(t *testing.T) {
	p, _ := worked(t)
	var got struct {
		Schema  int
		Layouts []struct {
			Layout
			Verified bool
			Faults   []string
		}
		Unplaced []Unplaced
	}
	laid := []Laid{laidRoll(), laidSheets(), laidSticks()}
	if err := json.Unmarshal([]byte(LaidJSON(p, laid)), &got); err != nil {
		t.Fatal(err)
	}
	for i, l := range got.Layouts {
		if diff := cmp.Diff(maker{p}.layout(laid[i].Layout), l.Layout); diff != "" {
			t.Errorf("%s (-want +got):\n%s", l.Material, diff)
		}
		if l.Verified != laid[i].Verified || cmp.Diff(laid[i].Faults, l.Faults) != "" {
			t.Errorf("%s: verified %v, with faults %v", l.Material, l.Verified, l.Faults)
		}
	}
	if diff := cmp.Diff([]Unplaced{{"wing", "7", 3, "it is wider than the roll", "let it be turned"}}, got.Unplaced); diff != "" || got.Schema != Schema || len(got.Layouts) != 3 {
		t.Errorf("schema %d, %d layouts, -want +got:\n%s", got.Schema, len(got.Layouts), diff)
	}
}

// TestLayoutsAreSaidInASentence words what each way of reckoning and each way of proving come to.
func TestLayoutsAreSaidInASentence(t *testing.T) {
	p, _ := worked(t)
	for _, c := range []struct {
		change func(*eval.Layout)
		of     Laid
		want   string
	}{
		{func(l *eval.Layout) { l.Laid = false }, laidSticks(), "1 length by length alone (not laid out)"},
		{func(l *eval.Layout) { l.Laid = false; l.Used = quantity.Frac(5, 2) }, laidSheets(), "2 1/2 sheets (2 ply, 1 half ply) by area alone (not laid out)"},
		{func(l *eval.Layout) { l.Goal = nil }, laidSheets(), "3 sheets (2 ply, 1 half ply), 29% waste; none can take less than 2 sheets"},
		{func(l *eval.Layout) { l.Goal, l.Taken = nil, nil }, laidSheets(), "3 sheets, 29% waste; none can take less than 2 sheets"},
		{func(l *eval.Layout) { l.Proved = true }, laidSheets(), "3 sheets (2 ply, 1 half ply), £100.00, 29% waste; no layout costs less"},
		{func(l *eval.Layout) { l.Goal.Bound = l.Goal.Came }, laidSheets(), "3 sheets (2 ply, 1 half ply), £100.00, 29% waste"},
		{func(l *eval.Layout) {
			l.Goal = &eval.Goal{Type: check.LengthType(), Came: millimetres(7), Bound: millimetres(6)}
		}, laidSheets(),
			"3 sheets (2 ply, 1 half ply), 7 mm, 29% waste; none can take less than 6 mm"},
		{func(l *eval.Layout) {
			l.Goal = &eval.Goal{Type: check.LengthType(), Came: millimetres(7)}
			l.Proved = true
		}, laidSheets(), "3 sheets (2 ply, 1 half ply), 7 mm, 29% waste; no layout takes less"},
		{func(l *eval.Layout) { l.Proved = false }, laidSticks(), "1 length, 33% waste"},
		{func(l *eval.Layout) { l.Placed = l.Placed[:3] }, laidRoll(), "900 mm off a roll 1500 mm wide and 1 remnant, 13% waste; none can take less than 850 mm"},
		{func(l *eval.Layout) { l.Placed, l.Proved = l.Placed[:2], true }, laidRoll(), "900 mm off a roll 1500 mm wide, 13% waste; no layout takes less"},
		{func(l *eval.Layout) { l.Waste = quantity.Frac(1, 201) }, laidSticks(), "1 length, 0% waste; no layout takes less"},
		{func(l *eval.Layout) { l.Waste = quantity.Frac(199, 200) }, laidSticks(), "1 length, 100% waste; no layout takes less"},
	} {
		c.change(&c.of.Layout)
		if got := NewWriter(Page{}, p).text.layout(c.of.Layout); got != c.want {
			t.Errorf("it says\n%s, want\n%s", got, c.want)
		}
	}
}

// TestJointJSONReadsBack writes orders laid together: their layouts, and what is bought for all of them.
func TestJointJSONReadsBack(t *testing.T) {
	p, r := worked(t)
	read := func(j Joint) (got struct {
		Together []Layout
		Bought   []Buy `json:"together_buy"`
	}) {
		if err := json.Unmarshal([]byte("{"+string(JointJSON(p, j))+"}"), &got); err != nil {
			t.Fatal(err)
		}
		return got
	}
	one := read(Joint{Layouts: []eval.Layout{laidRoll().Layout, laidSticks().Layout}, Buy: r.Buy[:1]})
	if diff := cmp.Diff(layoutsOf(p, []eval.Layout{laidRoll().Layout, laidSticks().Layout}), one.Together); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	m, l := maker{p}, r.Buy[0]
	want := []Buy{{l.Material.Name, m.quantity(l.Need, l.Type), m.quantity(l.Buy, l.Type), m.quantity(l.Each, l.EachType), m.money(l.Cost)}}
	if diff := cmp.Diff(want, one.Bought); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if none := read(Joint{}); none.Together == nil || len(none.Together)+len(none.Bought) > 0 {
		t.Errorf("of nothing it says %+v", none)
	}
}
