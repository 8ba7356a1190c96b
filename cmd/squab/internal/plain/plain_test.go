package plain

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/orders"
	"squab/eval/quantity"
	"squab/lang/diag"
	"squab/stdlib"
)

// roll54 is a roll of a usual width.
func roll54() Job {
	return Job{Form: "roll", Given: []orders.Setting{{Name: "wide", Text: "54 in"}}}
}

func settled(t *testing.T, j Job) *Job {
	t.Helper()
	if j.Shows == "" {
		j.Shows = "1/16 in"
	}
	if j.Currency == "" {
		j.Currency = "USD"
	}
	if j.Effort == 0 {
		j.Effort = 5_000
	}
	if err := j.Settle(); err != nil {
		t.Fatal(err)
	}
	return &j
}

// read reads a list in which nothing is wrong.
func read(t *testing.T, j *Job, text string) {
	t.Helper()
	problems, err := j.Read(strings.NewReader(text), "pieces")
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
}

// lay lays what was read, and checks each layout by its own code.
func lay(t *testing.T, j *Job) []Laid {
	t.Helper()
	laid, err := j.Lay(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for i := range laid {
		for _, err := range laid[i].Verify() {
			t.Errorf("%s: %v", laid[i].Material.Name, err)
		}
	}
	return laid
}

// TestFormsReadAlike gives the same pieces as CSV, as JSON lines, as a JSON list and in a JSON object.
func TestFormsReadAlike(t *testing.T) {
	seam := quantity.Frac(1, 2)
	want := []stdlib.Cut{
		{Name: `seat "front"`, Order: "7", Wide: quantity.Int(30), Deep: quantity.Frac(49, 2), Count: 2, EndForEnd: true, Match: &eval.Point{X: quantity.Int(15)}},
		{Name: "back", Wide: quantity.Int(22), Deep: quantity.Int(18), Count: 1, Turn: true, Join: &seam, SideBySide: true},
	}
	const first = `{"order":7,"name":"seat \"front\"","wide":"30 in","deep":"24 1/2 in","count":2,"match_x":"15 in"}`
	const second = `{"name":"back","wide":"22 in","deep":"18 in",` + "\n" + `"turn":true,"end_for_end":false,"join":"1/2 in","panels":"side_by_side"}`
	for name, text := range map[string]string{
		"CSV": "order,name,wide,deep,count,turn,end_for_end,match_x,join,panels\n7,\"seat \"\"front\"\"\",30 in,24 1/2 in,2,no,yes,15 in,,\n" +
			",back,22 in,18 in,,yes,no,,1/2 in,side_by_side\n",
		"JSON lines":                            first + "\n" + strings.ReplaceAll(second, "\n", " "),
		"JSON list":                             "[" + first + ", " + second + "]",
		"JSON object":                           `{"pieces": [` + first + ", " + second + "]}",
		"JSON list behind a mark of byte order": "\ufeff\r\n [" + first + ",\r\n" + second + "]\r\n",
		"JSON object behind blanks":             "\n\t {\n\"pieces\": [" + first + ", " + second + "]\n}\n",
	} {
		j := settled(t, roll54())
		read(t, j, text)
		if diff := cmp.Diff(want, j.materials[0].job.Pieces, cmp.Comparer(quantity.Number.Equal)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

// everything uses each thing that a file of materials and pieces can say.
const everything = `{"materials": [
 {"name": "tweed", "form": "roll", "wide": "54 in", "gap": "1/4 in", "repeat_along": "9 in", "repeat_across": "6 3/4 in", "half_drop": true,
  "first_along": "2 in", "first_across": "1 in", "flaws": [{"x": "3 in", "y": "40 in", "wide": "2 in", "deep": "2 in"}],
  "remnants": [{"wide": "54 in", "deep": "26 in"}], "bias": [{"name": "piping", "wide": "1 3/4 in", "long": "200 in", "seam": "1/2 in"}]},
 {"name": "velvet", "form": "roll", "wide": "53 in", "one_way": true, "long": "3 yd"},
 {"name": "ply", "form": "sheet", "kerf": "1/8 in", "guillotine": true, "stages": 2, "least_wide": "6 in", "least_deep": "6 in",
  "sizes": [{"wide": "48 in", "deep": "96 in", "price": "$64"}, {"name": "half ply", "wide": "48 in", "deep": "48 in", "price": "$36"}]},
 {"name": "lath", "form": "stick", "long": "8 ft", "kerf": "1/8 in", "nest": true},
 {"name": "web", "form": "stick", "long": "10 yd", "joins": true, "join_loss": "2 in", "least_long": "1 ft"}],
 "pieces": [
 {"name": "seat", "material": "tweed", "wide": "30 in", "deep": "24 1/2 in", "count": 3, "match_x": "15 in", "match_y": "12 1/4 in"},
 {"name": "long back", "material": "tweed", "wide": "90 in", "deep": "20 in", "join": "1/2 in"},
 {"name": "arm", "material": "velvet", "wide": "26 in", "deep": "20 in", "count": 4, "turn": true},
 {"name": "shelf", "material": "ply", "wide": "20 in", "deep": "30 in", "count": 7},
 {"name": "rail", "material": "lath", "long": "31 in", "count": 5, "mitre": "2 in"},
 {"name": "run", "material": "web", "long": "21 yd"}]}`

// TestEverythingIsLaid lays what uses each thing that can be said; the layouts are checked by their own code.
func TestEverythingIsLaid(t *testing.T) {
	j := settled(t, Job{})
	read(t, j, everything)
	var got []string
	for _, l := range lay(t, j) {
		if len(l.Unplaced) > 0 {
			t.Errorf("%s: %+v", l.Material.Name, l.Unplaced)
		}
		for _, s := range l.Sheets {
			got = append(got, l.Material.Name+": "+s.Name)
		}
	}
	// Worked by hand: five shelves of 20 by 30 with their kerfs take 60 1/4 in of a sheet of 96, so six lie on a whole one and a seventh needs
	// half a sheet more; five rails of 31 with nested mitres lie three to a stick; 21 yd of web and two joins take three reels of 10 yd.
	want := []string{"tweed: tweed", "tweed: remnant 1", "velvet: velvet", "ply: ply", "ply: half ply", "lath: lath", "lath: lath", "web: web", "web: web", "web: web"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("cut from (-want +got):\n%s", diff)
	}
}

// TestOneWayIsNeverTurned holds a cloth with nap to it, whatever its pieces say.
func TestOneWayIsNeverTurned(t *testing.T) {
	j := settled(t, Job{})
	read(t, j, everything)
	for _, l := range lay(t, j) {
		for _, p := range l.Placed {
			if l.Material.Name == "velvet" && (p.Turned || p.Ended) {
				t.Errorf("%s %d is turned on velvet", p.Piece, p.Copy)
			}
		}
	}
}

// TestCheapestSizes leaves the choice of sizes to their prices: half a sheet is cheaper for one shelf, and dearer for five.
func TestCheapestSizes(t *testing.T) {
	for _, c := range []struct {
		count int
		want  string
	}{{1, "$36.00"}, {4, "$64.00"}, {7, "$100.00"}} {
		j := settled(t, Job{Form: "sheet", Given: []orders.Setting{{Name: "kerf", Text: "1/8 in"}}})
		j.Lists[Sizes] = []string{"wide=48 in, deep=96 in, price=$64", "name=half, wide=48 in, deep=48 in, price=$36"}
		read(t, j, fmt.Sprintf("name,wide,deep,count\nshelf,20 in,30 in,%d\n", c.count))
		l := lay(t, j)[0]
		if got := j.Program().Style.Show(l.Goal.Came, l.Goal.Type.ShownDim()).Text; got != c.want {
			t.Errorf("%d shelves cost %s, want %s", c.count, got, c.want)
		}
	}
}

// TestLaidPiecesLieApart checks a layout by itself: every copy is there once, inside its sheet, and none lies on another or nearer than the kerf.
func TestLaidPiecesLieApart(t *testing.T) {
	j := settled(t, Job{Form: "sheet", Given: []orders.Setting{{Name: "wide", Text: "48 in"}, {Name: "deep", Text: "96 in"}, {Name: "kerf", Text: "1/8 in"}, {Name: "guillotine", Text: "yes"}}})
	read(t, j, "name,wide,deep,count,turn\nside,14 5/8 in,30 in,6,yes\nshelf,29 1/4 in,13 7/8 in,5,no\nback,31 in,47 in,1,yes\n")
	laid := lay(t, j)[0]
	if n := len(laid.Placed); n != 12 {
		t.Errorf("12 pieces gave %d", n)
	}
	kerf := quantity.Frac(1, 8)
	for i, a := range laid.Placed {
		if less(quantity.Int(48), a.X.Add(a.Wide)) || less(quantity.Int(96), a.Y.Add(a.Deep)) {
			t.Errorf("%s %d lies off its sheet", a.Piece, a.Copy)
		}
		for _, b := range laid.Placed[:i] {
			if a.Sheet == b.Sheet && near(a.Area, b.Area, kerf) {
				t.Errorf("%s %d lies on %s %d", a.Piece, a.Copy, b.Piece, b.Copy)
			}
		}
	}
	if less(laid.Used, laid.Bound) {
		t.Error("the bound is above what is used")
	}
}

func less(a, b quantity.Number) bool {
	order, _ := a.Cmp(b)
	return order < 0
}

// near reports whether two areas are less than a kerf apart.
func near(a, b eval.Area, kerf quantity.Number) bool {
	return less(b.X, a.X.Add(a.Wide).Add(kerf)) && less(a.X, b.X.Add(b.Wide).Add(kerf)) &&
		less(b.Y, a.Y.Add(a.Deep).Add(kerf)) && less(a.Y, b.Y.Add(b.Deep).Add(kerf))
}

func TestLimits(t *testing.T) {
	for what, list := range map[string]string{
		"more pieces than the limit":       "name,wide,deep,count\na,1 in,1 in,10000\nb,1 in,1 in,1\n",
		"lengths without a step in common": "name,wide,deep\na,1/9007199254740993 in,1 in\n",
	} {
		j := settled(t, roll54())
		problems, err := j.Read(strings.NewReader(list), "pieces")
		if err == nil && len(problems) == 0 {
			_, err = j.Lay(context.Background())
		}
		if err == nil && len(problems) == 0 {
			t.Errorf("%s: laid", what)
		}
	}
}

// TestBadFiles tells what is wrong with a file of JSON, and where.
func TestBadFiles(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{`[{`, "1:3: the JSON ends too soon"},
		{"[{\"name\": \"a\"},\n {,}]", "2:3: this is not JSON: invalid character ','"},
		{"[\n{\"name\": \"é\", \"wide\": \"1\", \"deep\": \"1 in\"}]", "2:24: wide must be a length"},
		{`{"pieces": [{"name": "a"`, "1:25: the JSON ends too soon"},
		{`{"pieces": ` + strings.Repeat("[", 20_000), "1:10011: this is not JSON: invalid character '[' exceeded max depth"},
		{`{"pieces": [` + strings.Repeat(" ", 64<<20) + "]}", "1:1: a JSON list or object is at most 64 MiB"},
		{`{"pieces": [], "pieces": []}`, `1:26: "pieces" is given twice`},
		{"{\"pieces\": [],\n \"materials\": [}", "2:16: this is not JSON"},
		{"{\"pieces\": []}\n\n {}", "3:2: something follows"},
		{`{"materials": []}`, "1:1: the object has no pieces"},
		{`{"peices": [], "materials": [], "matter": []}`, `1:12: the keys are materials and pieces, not "peices"`},
		{`{"pieces": [], "rolls": []}`, `1:25: the keys are materials and pieces, not "rolls"`},
		{`{"pieces": 3, "materials": []}`, "1:12: pieces is a list"},
		{`{"pieces": [], "materials": {}}`, "1:29: materials is a list"},
		{`{"material": 3, "pieces": []}`, "1:14: an object, in braces"},
		{`{"material": {"wide": "54 in"}, "pieces": []}`, "1:14: its form is roll, sheet or stick"},
		{`{"material": {"wide": "54 in", "form": "bolt"}, "pieces": []}`, "1:40: its form is roll, sheet or stick"},
		{`{"material": {"form": "roll", "wide": "54 in", "wide": "55 in"}, "pieces": []}`, `1:56: "wide" is given twice`},
		{`{"material": {"form": "roll", "name": "\"\"", "wide": "54 in"}, "pieces": []}`, "1:14: a material has no name"},
		{`{"material": {"form": "roll", "wide": "54 in", "sizes": []}, "pieces": []}`, "1:57: a roll has no sizes"},
		{`{"material": {"form": "sheet", "wide": "54 in", "deep": "54 in", "flaws": []}, "pieces": []}`, "1:75: a sheet has no flaws"},
		{`{"material": {"form": "sheet", "sizes": 4}, "pieces": []}`, "1:41: sizes is a list"},
		{`{"material": {"form": "roll", "wide": "54"}, "pieces": []}`, "1:40: wide must be a length"},
		{`{"material": {"form": "roll", "wide": "20 in", "repeat_across": "27 in"}, "pieces": []}`, "1:14: roll: the repeat across is wider than the cloth"},
		{`{"material": {"form": "roll", "wide": "20 in", "half_drop": true}, "pieces": []}`, "1:14: roll: a half drop needs the repeat both along and across"},
		{`{"materials": [{"form": "stick", "long": "8 ft"}, {"form": "stick", "long": "8 ft"}], "pieces": []}`, `1:51: there are two materials called "stick"`},
		{`{"material": {"form": "roll", "wide": "54 in"}, "pieces": [{"name": "a", "material": "felt", "wide": "1 in", "deep": "1 in"}]}`, `1:60: there is no material called "felt"`},
		{`{"materials": [{"name": "a", "form": "stick", "long": "8 ft"}, {"name": "b", "form": "stick", "long": "8 ft"}], "pieces": [{"name": "r", "long": "1 ft"}]}`, "1:124: there are several materials"},
		{`{"material": {"form": "roll", "wide": "54 in", "flaws": [{"y": "1 in", "wide": "0 in", "deep": "1 in"}]}, "pieces": []}`, "1:81: wide must lie"},
		{`{"material": {"form": "roll", "wide": "54 in"}, "pieces": [7]}`, "1:60: an object, in braces"},
	} {
		j := settled(t, Job{})
		if strings.HasPrefix(c.text, "[") {
			j = settled(t, roll54())
		}
		problems, err := j.Read(strings.NewReader(c.text), "job.json")
		if err != nil || len(problems) == 0 {
			t.Errorf("%.200s: %v, %d problems", c.text, err, len(problems))
			continue
		}
		d := problems[0]
		if told := fmt.Sprintf("%d:%d: %s", d.Place.Line, d.Place.Column, d.Message); d.Place.File != "job.json" || !strings.HasPrefix(told, c.want) {
			t.Errorf("%.200s gives %s %s, want %s", c.text, d.Place.File, told, c.want)
		}
	}
}

// TestEachMeasureIsToldOfWhereItStands gives each length of a file a weight instead, one at a time: one problem, at that place.
func TestEachMeasureIsToldOfWhereItStands(t *testing.T) {
	for _, text := range []string{everything, strings.ReplaceAll(everything, "\n", "\r\n"), strings.ReplaceAll(strings.ReplaceAll(everything, ", ", "\n,\t"), "{", "{ ")} {
		lengths := regexp.MustCompile(`"[0-9 /]+ (in|ft|yd)"`).FindAllStringIndex(text, -1)
		if len(lengths) < 40 {
			t.Fatalf("the file has %d lengths", len(lengths))
		}
		for _, at := range lengths {
			before := text[:at[0]]
			want := diag.Place{File: "job.json", Line: 1 + strings.Count(before, "\n"), Column: len(before) - strings.LastIndex(before, "\n") + 1}
			j := settled(t, Job{})
			problems, err := j.Read(strings.NewReader(before+`"7 lb"`+text[at[1]:]), "job.json")
			if err != nil || len(problems) == 0 {
				t.Fatalf("%v: a weight at %v is taken", err, want)
			}
			if diff := cmp.Diff(want, problems[0].Place); diff != "" {
				t.Errorf("%s (-want +got):\n%s", problems[0].Message, diff)
			}
		}
	}
}

// TestNothingThatIsSaidIsLeftOut says of pieces and materials what only orders have: it is refused, and no piece is cut once where three were meant.
func TestNothingThatIsSaidIsLeftOut(t *testing.T) {
	for text, want := range map[string]string{
		"name,wide,deep,off\na,1 in,1 in,3\n":                       "2:1: off is said of orders alone",
		"name,wide,deep,date\na,1 in,1 in,2026-04-02\n":             "2:1: a date is said of orders alone",
		"name,wide,deep\na,1 in,1 in tolerance 1/8 in\n":            "2:1: deep is laid out as it is given",
		`[{"name": "a", "wide": "1 in", "deep": "1 in", "off": 3}]`: "1:2: off is said of orders alone",
	} {
		problems, err := settled(t, roll54()).Read(strings.NewReader(text), "pieces")
		if err != nil || len(problems) != 1 {
			t.Errorf("%s: %v, %v", text, err, problems)
			continue
		}
		d := problems[0]
		if told := fmt.Sprintf("%d:%d: %s", d.Place.Line, d.Place.Column, d.Message); !strings.HasPrefix(told, want) {
			t.Errorf("%s gives %s, want %s", text, told, want)
		}
	}
	for _, flags := range []Job{{Given: settings("wide=54 in, off=2")}, {Given: settings("wide=54 in tolerance 1/8 in")}, {Form: "stick", Lists: [lists][]string{Sizes: {"long=8 ft, off=2"}}}} {
		if _, err := settled(t, flags).Read(strings.NewReader("name,wide,deep\na,1 in,1 in\n"), "pieces"); !IsMisuse(err) {
			t.Errorf("%+v: %v", flags.Given, err)
		}
	}
}

// TestMessagesAreInThePiecesWords makes mistakes of every kind: no message speaks of the recipes and the orders by which pieces are read.
func TestMessagesAreInThePiecesWords(t *testing.T) {
	for _, text := range []string{
		"", "x;y\n", "name,wide,deep,colour\na,1 in,1 in,red\n", "name,wide,wide\na,1,1\n", "nam,wide,deep\na,1 in,1 in\n", "name,wide,deep\na,1 in\n", "name,wide,deep\n\"a,1 in,1 in\n",
		"name,wide,deep,count\na,1 in,1 in,0\nb,,1 in,1\nc,1 in,2 lb,1/2\nd,x,1 in,\ne,1 in/0,1 in,\n", "name,wide,deep,turn,panels,material\na,1 in,1 in,maybe,,\nb,1 in,1 in,,left,\nc,1 in,1 in,,,felt\n",
		"name,wide,deep\na,2000 yd,1 in\nb,0 in,1 in\n", `{"name": 7, "wide": [], "deep": "1 in"}`, `[{"nam": "a"}, 4]`, `[{"name": "a", "wide": "1 in", "deep": "1 in", "colour": "red"}]`,
		`{"materials": [{"form": "roll", "wide": "1"}, {"form": "sheet", "wide": "1 in"}, {"form": "stick", "sizes": [{"deep": "1 in"}]}], "pieces": []}`,
	} {
		j := settled(t, roll54())
		if strings.Contains(text, "materials") {
			j = settled(t, Job{})
		}
		problems, err := j.Read(strings.NewReader(text), "pieces")
		if err != nil || len(problems) == 0 {
			t.Errorf("%q: %v, and no problems", text, err)
		}
		for _, d := range problems {
			told := strings.Join(append([]string{d.Message, d.Help}, d.Notes...), " ")
			if leak := regexp.MustCompile(`recipe|\border\b|_piece|_size|\bask\b|\basks\b`).FindString(told); leak != "" || len(d.Related) > 0 {
				t.Errorf("%q: a message says %q: %s", text, leak, told)
			}
		}
	}
}

// TestFlagsGiveWayToAFileOfMaterials has a file tell of its own material: whatever else tells of one is refused, and not left out in silence.
func TestFlagsGiveWayToAFileOfMaterials(t *testing.T) {
	const file = `{"material": {"form": "sheet", "wide": "4 ft", "deep": "8 ft"}, "pieces": [{"name": "a", "wide": "1 ft", "deep": "1 ft"}]}`
	for what, flags := range map[string]Job{
		"a form": {Form: "roll"}, "the same form": {Form: "sheet"}, "a measure": {Given: settings("wide=4 ft")}, "a size": {Lists: [lists][]string{Sizes: {"wide=4 ft, deep=8 ft"}}},
	} {
		if _, err := settled(t, flags).Read(strings.NewReader(file), "job.json"); !IsMisuse(err) || !strings.Contains(err.Error(), "leave the flags that do so out") {
			t.Errorf("%s beside the file's own: %v", what, err)
		}
	}
	j := settled(t, Job{})
	read(t, j, file)
	if form := j.materials[0].job.Form; form != "sheet" {
		t.Errorf("the pieces lie on a %s", form)
	}
}

// FuzzRead reads anything without a panic, and lays what it can: each layout holds to its own check.
func FuzzRead(f *testing.F) {
	f.Add(everything)
	f.Add("name,wide,deep\na,1 in,2 in\n")
	f.Add(`[{"name":"a","wide":"1 in","deep":"2 in"}]`)
	f.Add(`{"material":{"form":"stick","sizes":[{"long":"8 ft","price":"$2"},{"long":"9 ft"}]},"pieces":[{"name":"a","long":"3 ft","count":4}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		j := settled(t, roll54())
		j.Effort = 1
		if strings.Contains(text, "material") {
			j.Given = nil
		}
		problems, err := j.Read(strings.NewReader(text), "pieces")
		for _, d := range problems {
			if d.At.IsZero() && (d.Place.Line < 1 || d.Place.Line > 1+strings.Count(text, "\n") || d.Place.Column < 1) {
				t.Errorf("%s stands at %v, which is not in the file", d.Message, d.Place)
			}
		}
		if err != nil {
			return
		}
		laid, err := j.Lay(context.Background())
		if err != nil {
			return
		}
		for i := range laid {
			for _, err := range laid[i].Verify() {
				t.Errorf("%v", err)
			}
		}
	})
}

// TestTenThousandPieces lays as many pieces as there may be, of each form, and checks them all; the first answer is enough.
func TestTenThousandPieces(t *testing.T) {
	const flat = "name,wide,deep,count,turn\na,7 in,5 in,4000,yes\nb,3 1/2 in,9 in,3000,\nc,11 in,4 in,3000,yes\n"
	for _, c := range []struct{ form, given, text string }{
		{"roll", "wide=54 in", flat},
		{"sheet", "wide=48 in, deep=96 in, kerf=1/8 in, guillotine=yes", flat},
		{"stick", "long=8 ft, kerf=1/8 in", "name,long,count\na,7 in,4000\nb,31 in,3000\nc,11 in,3000\n"},
	} {
		j := settled(t, Job{Form: c.form, Given: settings(c.given), Effort: 1})
		read(t, j, c.text)
		if n := len(lay(t, j)[0].Placed); n != maxPieces {
			t.Errorf("%d of %d pieces lie on a %s", n, maxPieces, c.form)
		}
	}
}

// TestHostileNamesStayText keeps control characters of names out of sketches and drawings.
func TestHostileNamesStayText(t *testing.T) {
	j := settled(t, roll54())
	read(t, j, `[{"name":"\u001b[31mred\u0007 <script>&","wide":"20 in","deep":"20 in"},{"name":"`+strings.Repeat("x", 500)+`","wide":"9 in","deep":"9 in"}]`)
	l := lay(t, j)[0]
	for what, text := range map[string]string{"sketch": l.Sketch(), "drawing": l.SVG()} {
		if strings.ContainsAny(text, "\x1b\x07") || what == "drawing" && strings.Contains(text, "<script") {
			t.Errorf("the %s has what is no text in it", what)
		}
	}
	for line := range strings.Lines(l.Sketch()) {
		if n := utf8.RuneCountInString(line); n > sketchColumns+1 {
			t.Errorf("a line of the sketch has %d columns", n)
		}
	}
}
