package plain

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
	"squab/stdlib"
)

func inches(n int64) quantity.Number { return quantity.Int(n) }

func named(name string) *check.Material { return &check.Material{Name: name} }

// materialCases say the same material in a file and by flags; no two of its measures are alike.
var materialCases = []struct {
	name, file string
	flags      Job
	want       stdlib.LayJob
}{
	{"roll", `{"form": "roll", "name": "tweed", "wide": "54 in", "long": "900 in", "gap": "1 in", "repeat_along": "9 in", "repeat_across": "7 in",
		"half_drop": true, "first_along": "5 in", "first_across": "2 in", "least_wide": "11 in", "least_deep": "13 in",
		"flaws": [{"x": "3 in", "y": "40 in", "wide": "6 in", "deep": "8 in"}], "remnants": [{"wide": "30 in", "deep": "20 in"}],
		"bias": [{"name": "piping", "wide": "4 in", "long": "200 in", "seam": "10 in"}]}`,
		Job{Form: "roll", Given: settings("name=tweed, wide=54 in, long=900 in, gap=1 in, repeat_along=9 in, repeat_across=7 in, half_drop=yes, first_along=5 in, first_across=2 in, least_wide=11 in, least_deep=13 in"),
			Lists: [lists][]string{Flaws: {"x=3 in, y=40 in, wide=6 in, deep=8 in"}, Remnants: {"wide=30 in, deep=20 in"}, Bias: {"name=piping, wide=4 in, long=200 in, seam=10 in"}}},
		stdlib.LayJob{Material: named("tweed"), Form: check.Roll, Exact: true,
			Roll: stdlib.Roll{Wide: inches(54), Long: inches(900), Gap: inches(1),
				Repeat: eval.Repeat{Along: inches(9), Across: inches(7), HalfDrop: true, First: eval.Point{X: inches(2), Y: inches(5)}},
				Flaws:  []eval.Area{{X: inches(3), Y: inches(40), Wide: inches(6), Deep: inches(8)}}, Remnants: []stdlib.Extent{{Wide: inches(30), Deep: inches(20)}}},
			Rule: stdlib.CutRule{Least: stdlib.Extent{Wide: inches(11), Deep: inches(13)}},
			Bias: []stdlib.Bias{{Name: "piping", Wide: inches(4), Long: inches(200), Seam: inches(10)}}}},
	{"sheet of one size", `{"form": "sheet", "wide": "48 in", "deep": "96 in", "kerf": "2 in", "guillotine": true, "stages": 3, "least_wide": "5 in", "least_deep": "6 in"}`,
		Job{Form: "sheet", Given: settings("wide=48 in, deep=96 in, kerf=2 in, guillotine=yes, stages=3, least_wide=5 in, least_deep=6 in")},
		stdlib.LayJob{Material: named("sheet"), Form: check.Sheet, Exact: true, Sizes: []stdlib.Size{{Name: "sheet", Material: named("sheet"), Wide: inches(48), Deep: inches(96)}},
			Rule: stdlib.CutRule{Kerf: inches(2), Guillotine: true, Stages: 3, Least: stdlib.Extent{Wide: inches(5), Deep: inches(6)}}}},
	{"sheets", `{"form": "sheet", "name": "ply", "sizes": [{"wide": "48 in", "deep": "96 in", "price": "$64"}, {"name": "half", "wide": "49 in", "deep": "50 in", "price": "$36", "only": 4}]}`,
		Job{Form: "sheet", Given: settings("name=ply"), Lists: [lists][]string{Sizes: {"wide=48 in, deep=96 in, price=$64", "name=half, wide=49 in, deep=50 in, price=$36, only=4"}}},
		stdlib.LayJob{Material: named("ply"), Form: check.Sheet, Exact: true, Sizes: []stdlib.Size{{Name: "ply", Material: named("ply"), Wide: inches(48), Deep: inches(96), Price: inches(64)},
			{Name: "half", Material: named("half"), Wide: inches(49), Deep: inches(50), Price: inches(36), Limit: 4}}}},
	{"stick of one length", `{"form": "stick", "name": "web", "long": "360 in", "kerf": "1 in", "joins": true, "join_loss": "2 in", "least_long": "12 in"}`,
		Job{Form: "stick", Given: settings("name=web, long=360 in, kerf=1 in, joins=yes, join_loss=2 in, least_long=12 in")},
		stdlib.LayJob{Material: named("web"), Form: check.Stick, Exact: true, Sizes: []stdlib.Size{{Name: "web", Material: named("web"), Wide: inches(360)}},
			Rule: stdlib.CutRule{Kerf: inches(1), Join: true, JoinSeam: inches(2), Least: stdlib.Extent{Wide: inches(12)}}}},
	{"sticks", `{"form": "stick", "nest": true, "sizes": [{"name": "rail", "long": "96 in", "price": "$6", "only": 2}]}`,
		Job{Form: "stick", Given: settings("nest=yes"), Lists: [lists][]string{Sizes: {"name=rail, long=96 in, price=$6, only=2"}}},
		stdlib.LayJob{Material: named("stick"), Form: check.Stick, Exact: true, Rule: stdlib.CutRule{Nest: true},
			Sizes: []stdlib.Size{{Name: "rail", Material: named("rail"), Wide: inches(96), Price: inches(6), Limit: 2}}}},
}

// TestEachMeasureGoesWhereItBelongs reads each material from a file and from flags.
func TestEachMeasureGoesWhereItBelongs(t *testing.T) {
	sameName := cmp.Comparer(func(a, b *check.Material) bool { return a.Name == b.Name })
	for _, c := range materialCases {
		byFile, byFlags := settled(t, Job{}), settled(t, c.flags)
		read(t, byFile, `{"material": `+c.file+`, "pieces": []}`)
		read(t, byFlags, `{"pieces": []}`)
		for from, j := range map[string]*Job{"file": byFile, "flags": byFlags} {
			if diff := cmp.Diff(c.want, j.materials[0].job, sameName, cmp.Comparer(quantity.Number.Equal)); diff != "" {
				t.Errorf("%s from the %s (-want +got):\n%s", c.name, from, diff)
			}
		}
	}
}

// TestEachWordOfAPieceGoesWhereItBelongs reads a piece of a roll and one of a stick; no two of their measures are alike.
func TestEachWordOfAPieceGoesWhereItBelongs(t *testing.T) {
	seam := inches(5)
	roll := settled(t, roll54())
	read(t, roll, "order,name,wide,deep,count,turn,end_for_end,match_x,match_y,join,panels\n7,seat,30 in,24 in,2,yes,no,15 in,12 in,5 in,side_by_side\n")
	stick := settled(t, Job{Form: "stick", Given: settings("long=96 in")})
	read(t, stick, "order,name,long,count,mitre\n8,rail,31 in,3,2 in\n")
	for _, c := range []struct {
		j    *Job
		want stdlib.Cut
	}{
		{roll, stdlib.Cut{Name: "seat", Order: "7", Wide: inches(30), Deep: inches(24), Count: 2, Turn: true, Match: &eval.Point{X: inches(15), Y: inches(12)}, Join: &seam, SideBySide: true}},
		{stick, stdlib.Cut{Name: "rail", Order: "8", Wide: inches(31), Count: 3, Mitre: inches(2)}},
	} {
		if diff := cmp.Diff([]stdlib.Cut{c.want}, c.j.materials[0].job.Pieces, cmp.Comparer(quantity.Number.Equal)); diff != "" {
			t.Errorf("-want +got:\n%s", diff)
		}
	}
}

// TestBiasKeepsItsOrder reads strip for an order.
func TestBiasKeepsItsOrder(t *testing.T) {
	j := settled(t, Job{})
	read(t, j, `{"material": {"form": "roll", "wide": "54 in", "bias": [{"order": 7, "wide": "2 in", "long": "9 ft"}]}, "pieces": []}`)
	if b := j.materials[0].job.Bias[0]; b.Order != "7" || b.Name != "bias" {
		t.Errorf("the strip is %q of order %q", b.Name, b.Order)
	}
}

// TestOneWayHoldsForEveryForm lets no piece be turned where the cloth has a nap or the sheet a grain.
func TestOneWayHoldsForEveryForm(t *testing.T) {
	const piece = "name,wide,deep,turn,end_for_end\nseat,30 in,24 in,yes,yes\n"
	for _, c := range []struct {
		form, given string
		turn        bool
	}{
		{"roll", "wide=54 in", true},
		{"roll", "wide=54 in, one_way=yes", false},
		{"sheet", "wide=48 in, deep=96 in", true},
		{"sheet", "wide=48 in, deep=96 in, grain=yes", false},
	} {
		j := settled(t, Job{Form: c.form, Given: settings(c.given)})
		read(t, j, piece)
		if p := j.materials[0].job.Pieces[0]; p.Turn != c.turn || p.EndForEnd != c.turn {
			t.Errorf("on a %s with %s a piece may be turned: %v, end for end: %v", c.form, c.given, p.Turn, p.EndForEnd)
		}
	}
}
