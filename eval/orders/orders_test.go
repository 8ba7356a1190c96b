package orders

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
	"squab/lang/diag/benchtest"
)

const book = `shop "Heron Quay Workroom" {
  currency = USD
  shows    = 1/16 in
}
choice hand = left, right
kind felt: roll {
  usable: length = 60 in
  price:  money per length
  sold:   length = 1 yd
}
material grey_felt: felt { price = $9 per yd }
material red_felt: felt { price = $9.50 per yd }
rule fold: length = 2 in
recipe mat "Tray mat" {
  ask wide: length from 4 in to 60 in
  ask deep: length from 4 in to 40 in = 12 in
  ask stuff: felt = grey_felt
  ask holes: count from 0 to 9 = 2
  ask share: number from -10 to 1000 = 1/2
  ask side: hand = left
  ask lined: yes/no = no
  ask words: text = "plain"
  ask fee: money = $1
  piece top from stuff = wide by deep
}
`

// program checks the book; it is fatal where the book itself is wrong.
func program(t testing.TB) (*check.Program, *check.Recipe) {
	t.Helper()
	files := &diag.Files{}
	var problems diag.List
	src := files.Add("mat.squab", book, diag.House)
	p := check.Check(files, []*lang.File{lang.Parse(src, lang.Limits{}, &problems)}, &problems)
	for _, d := range problems.All() {
		t.Fatalf("%v: %s", files.Place(d.At.Start), d.Message)
	}
	return p, p.Recipe("mat")
}

// told writes a row in one line: what it gives, or what is wrong with it.
func told(p *check.Program, row Row) string {
	if len(row.Problems) > 0 {
		return fmt.Sprintf("%d %s: %s", row.Line, row.ID, codes(row.Problems))
	}
	r, problems := (&eval.Engine{Program: p}).Work(row.Order, 0)
	if len(problems) > 0 {
		return fmt.Sprintf("%d %s: %s", row.Line, row.ID, codes(row.Placed(problems)))
	}
	s := fmt.Sprintf("%d %s", row.Line, row.ID)
	if row.Order.Title != "" {
		s += " " + row.Order.Title
	}
	if r.Off != 1 {
		s += fmt.Sprintf(" off=%d", r.Off)
	}
	if row.Order.HasDate {
		s += " date=" + check.DateText(row.Order.Date)
	}
	for _, ask := range row.Order.Recipe.Asks {
		if row.Order.Given[ask.Index] != nil {
			v, _ := r.Sheet.Value(ask.Index)
			s += " " + ask.Name + "=" + eval.Show(p, v, ask.Type) + leeway(p, row.Order.Given[ask.Index])
		}
	}
	return s
}

func leeway(p *check.Program, cell *check.Cell) string {
	if cell.Tolerance == nil {
		return ""
	}
	up, down := eval.Show(p, check.Num(cell.Tolerance.Up.Num), cell.Type), eval.Show(p, check.Num(cell.Tolerance.Down.Num), cell.Type)
	if up == down {
		return " ±" + up
	}
	return " +" + up + " -" + down
}

func codes(problems []diag.Diagnostic) string {
	var all []string
	for _, d := range problems {
		all = append(all, fmt.Sprintf("%s at %d:%d", d.Code, d.Place.Line, d.Place.Column))
	}
	return strings.Join(all, ", ")
}

func readAll(t testing.TB, p *check.Program, r *Reader) []string {
	t.Helper()
	var all []string
	for row := range r.Rows() {
		all = append(all, told(p, row))
	}
	for _, d := range r.Problems() {
		all = append(all, fmt.Sprintf("file: %s %s at %d:%d", d.Severity, d.Code, d.Place.Line, d.Place.Column))
	}
	if r.Err() != nil {
		all = append(all, "unreadable: "+r.Err().Error())
	}
	return all
}

func TestCSV(t *testing.T) {
	p, recipe := program(t)
	cases := []struct {
		name, text string
		want       []string
	}{
		{"a row", "order,wide\n7,20 in\n", []string{"2 7 wide=20 in"}},
		{"a mark of byte order and ends of another system", "\ufefforder,wide\r\n7,20 in\r\n", []string{"2 7 wide=20 in"}},
		{"no end of the last line", "order,wide\n7,20 in", []string{"2 7 wide=20 in"}},
		{"columns in any order, with blanks", "wide , order, title\n20 in, 7 , Tea tray\n", []string{"2 7 Tea tray wide=20 in"}},
		{"everything at once", "order,title,off,date,wide,deep,stuff,holes,share,side,lined,words,fee\n" +
			`7,"Tea, ""best""",3,2026-04-02,20 1/2 in,1 ft 2 in,red_felt,4,15%,right,yes,said {so},$2.50` + "\n",
			[]string{`2 7 Tea, "best" off=3 date=2026-04-02 wide=20 1/2 in deep=14 in stuff=red_felt holes=4 share=3/20 side=right lined=yes words=said {so} fee=$2.50`}},
		{"tolerances", "order,wide,deep,holes\n7,20 in tolerance 1/8 in,14 in tolerance +1/2 in -0 in,4 tolerance 1\n",
			[]string{"2 7 wide=20 in ±1/8 in deep=14 in +1/2 in -0 in holes=4 ±1"}},
		{"tolerances of what has none", "order,off,date,wide,stuff\n7,2 tolerance 1,2026-04-02 tolerance 1,20 in tolerance 1 lb,red_felt tolerance 1\n",
			[]string{"2 7: tolerance-misplaced at 2:3, tolerance-of-words at 2:38, unit-mismatch at 2:56, tolerance-of-words at 2:80"}},
		{"an empty field leaves the default", "order,wide,deep,stuff\n7,20 in,, \n", []string{"2 7 wide=20 in"}},
		{"inch marks", "order,wide,deep\n7,\"20\"\"\",12 1/2\"\n", []string{"2 7 wide=20 in deep=12 1/2 in"}},
		{"a formula of the book", "order,wide\n7,3 * fold + 1 in\n", []string{"2 7 wide=7 in"}},
		{"a quoted field over two lines", "order,title,wide\n7,\"Tea\ntray\",20 in\n8,,21 in\n", []string{"2 7 Tea\ntray wide=20 in", "4 8 wide=21 in"}},
		{"no order column", "wide\n20 in\n\n21 in\n", []string{"2 line 2 wide=20 in", "4 line 4 wide=21 in"}},
		{"text in quotes of the language", "order,wide,words\n7,20 in,\"\"\"dark\"\"\"\n", []string{"2 7 wide=20 in words=dark"}},

		{"wrong measures", "order,wide\n7,20 min\n8,20\n9,20 inn\n10,wide\n11,21 in\n",
			[]string{"2 7: unit-mismatch at 2:3", "3 8: unit-mismatch at 3:3", "4 9: unit-unknown at 4:6", "5 10: name-unknown at 5:4", "6 11 wide=21 in"}},
		{"one text of two kinds", "order,holes,wide,share\n7,3,3,3\n8,20 in,20 in,20 in\n", []string{"2 7: unit-mismatch at 2:5", "3 8: unit-mismatch at 3:3, unit-mismatch at 3:15"}},
		{"one text inside and outside a range", "order,wide,deep\n7,50 in,50 in\n8,12 in,12 in\n", []string{"2 7: ask-outside at 2:9", "3 8 wide=12 in deep=12 in"}},
		{"outside its range, written and worked out", "order,wide\n7,61 in\n8,40 * fold\n", []string{"2 7: ask-outside at 2:3", "3 8: ask-outside at 3:3"}},
		{"an ask that must be given", "order,deep\n7,20 in\n", []string{"2 7: ask-missing at 2:1"}},
		{"too few fields and too many", "order,wide\n7\n8,20 in,1\n9,21 in\n", []string{"2 line 2: row-fields at 2:1", "3 line 3: row-fields at 3:1", "4 9 wide=21 in"}},
		{"off and date", "order,wide,off,date\n7,20 in,0,\n8,20 in,1/2,\n9,20 in,,2026-02-30\n10,20 in,,soon\n",
			[]string{"2 7: off-none at 2:9", "3 8: count-not-whole at 3:9", "4 9: date-impossible at 4:10", "5 10: name-unknown at 5:11"}},
		{"a quote never closed costs its own row", "order,wide\n7,\"20 in\n8,21 in\n", []string{"2 line 2: row-malformed at 2:3", "3 8 wide=21 in"}},
		{"text after a closing quote", "order,wide\n\"7\"x,20 in\n8,21 in\n", []string{"2 line 2: row-malformed at 2:4", "3 8 wide=21 in"}},
		{"not UTF-8", "order,wide\n7,20 in\xff\n8,21 in\n", []string{"2 line 2: row-malformed at 2:1", "3 8 wide=21 in"}},

		{"a column that is nearly an ask", "order,wide,wyde\n7,20 in,\n8,20 in,3 in\n",
			[]string{"2 7 wide=20 in", "3 8: column-unknown at 3:9", "file: error column-unknown at 1:12"}},
		{"a column that is no ask", "order,wide,telephone\n7,20 in,555\n", []string{"2 7 wide=20 in", "file: warning column-unknown at 1:12"}},
		{"a column left out on purpose", "order,wide,#wyde,\n7,20 in,3 in,4\n", []string{"2 7 wide=20 in"}},
		{"a column twice", "order,wide,wide\n7,20 in,20 in\n", []string{"file: error column-twice at 1:12"}},
		{"no heading", "7,20 in\n8,21 in\n", []string{"file: error heading-missing at 1:1"}},
		{"columns parted by another sign", "\norder;wide;deep\n7;20 in;12 in\n", []string{"file: error heading-missing at 2:1"}},
		{"a heading of remarks", "#wide,\n20 in,\n", []string{"file: error heading-missing at 1:1"}},
		{"an empty file", "", []string{"file: error file-empty at 1:1"}},
		{"a heading that cannot be read", "order,\"wide\n", []string{"file: error row-malformed at 1:1"}},
		{"a heading alone", "order,wide\n", nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, readAll(t, p, CSV(strings.NewReader(c.text), "o.csv", p, recipe))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestJSONLines(t *testing.T) {
	p, recipe := program(t)
	cases := []struct {
		name, text string
		want       []string
	}{
		{"a row", `{"order": "7", "wide": "20 in"}`, []string{"1 7 wide=20 in"}},
		{"numbers are plain numbers", `{"order": 7, "wide": "20 in", "share": 0.1, "holes": 3, "off": 2}`, []string{"1 7 off=2 wide=20 in share=1/10 holes=3"}},
		{"exponents are exact", `{"wide": "20 in", "share": 12.5e1}` + "\n" + `{"wide": "20 in", "share": 5E-1}` + "\n" + `{"wide": "20 in", "share": -1.25e-2}`,
			[]string{"1 line 1 wide=20 in share=125", "2 line 2 wide=20 in share=1/2", "3 line 3 wide=20 in share=-0.0125"}},
		{"yes, no and nothing", `{"wide": "20 in", "lined": true, "side": null}` + "\n" + `{"wide": "20 in", "lined": false}`,
			[]string{"1 line 1 wide=20 in lined=yes", "2 line 2 wide=20 in lined=no"}},
		{"text with a quote and a brace", `{"wide": "20 in", "words": "a \"b\" {c} \\ d\u00e9"}`, []string{`1 line 1 wide=20 in words=a "b" {c} \ dé`}},
		{"blank lines", "\n" + `{"wide": "20 in"}` + "\n\n", []string{"2 line 2 wide=20 in"}},

		{"a number without a unit", `{"wide": 20}`, []string{"1 line 1: unit-mismatch at 1:10"}},
		{"no object", `["20 in"]` + "\n7\n" + `"wide"` + "\n" + `{"wide": "21 in"}`,
			[]string{"1 line 1: row-malformed at 1:2", "2 line 2: row-malformed at 2:2", "3 line 3: row-malformed at 3:7", "4 line 4 wide=21 in"}},
		{"more than an object", `{"wide": "20 in"} {}`, []string{"1 line 1: row-malformed at 1:20"}},
		{"cut short", `{"wide": "20 in"` + "\n" + `{"wide"` + "\n" + `{"wide": "20`, []string{"1 line 1: row-malformed at 1:17", "2 line 2: row-malformed at 2:8", "3 line 3: row-malformed at 3:10"}},
		{"a key twice", `{"wide": "20 in", "wide": "21 in"}`, []string{"1 line 1: row-malformed at 1:25"}},
		{"a list as a value", `{"wide": ["20 in"]}`, []string{"1 line 1: row-malformed at 1:11"}},
		{"an object as a value", `{"wide": {"exact": "20"}}`, []string{"1 line 1: row-malformed at 1:11"}},
		{"an exponent out of all measure", `{"wide": "20 in", "share": 1e1000000}`, []string{"1 line 1: row-malformed at 1:37"}},
		{"a key that is nearly an ask, told once", `{"order": 1, "wyde": "20 in"}` + "\n" + `{"order": 2, "wyde": "20 in", "wide": "20 in"}`,
			[]string{"1 1: column-unknown at 1:22", "2 2: column-unknown at 2:22", "file: error column-unknown at 1:22"}},
		{"not UTF-8", "{\"wide\": \"20 in\", \"words\": \"\xff\"}\n" + `{"wide": "21 in"}`, []string{"1 line 1: row-malformed at 1:1", "2 line 2 wide=21 in"}},
		{"nothing at all", "", nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := readAll(t, p, JSONLines(strings.NewReader(c.text), "o.jsonl", p, recipe))
			if diff := cmp.Diff(c.want, got, cmp.Transformer("sorted", byFields)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// byFields leaves the order of what a row gives out of a comparison.
func byFields(line string) map[string]int {
	all := map[string]int{}
	for _, f := range strings.Fields(line) {
		all[f]++
	}
	return all
}

func TestProblemSaysWhatTheFieldHolds(t *testing.T) {
	p, recipe := program(t)
	for row := range CSV(strings.NewReader("order,wide\n7,20 inn\n"), "o.csv", p, recipe).Rows() {
		want := []diag.Diagnostic{{Code: "unit-unknown", Message: "there is no unit called inn", Notes: []string{"wide is given as 20 inn"}, Place: diag.Place{File: "o.csv", Line: 2, Column: 6}}}
		for i := range row.Problems {
			row.Problems[i].Help = ""
		}
		if diff := cmp.Diff(want, row.Problems); diff != "" {
			t.Error(diff)
		}
	}
}

func TestPlacedKeepsPlacesInTheBook(t *testing.T) {
	row := Row{File: "o.csv", Line: 3, record: "7,20 in"}
	inBook := diag.Diagnostic{Code: "x", At: diag.Span{Start: 4, End: 5}, Related: []diag.Related{{At: diag.Span{Start: 9, End: 10}, Note: "here"}, {At: diag.Span{Start: fieldsFrom, End: fieldsFrom + 1}}}}
	got := row.Placed([]diag.Diagnostic{inBook, {Code: "y"}})
	want := []diag.Diagnostic{{Code: "x", At: inBook.At, Related: inBook.Related[:1]}, {Code: "y", Place: diag.Place{File: "o.csv", Line: 3, Column: 1}}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestReadErrorIsKept(t *testing.T) {
	p, recipe := program(t)
	lost := errors.New("the disk is gone")
	in := io.MultiReader(strings.NewReader("order,wide\n7,20 in\n8,2"), iotest.ErrReader(lost))
	want := []string{"2 7 wide=20 in", "unreadable: the disk is gone"}
	if diff := cmp.Diff(want, readAll(t, p, CSV(in, "o.csv", p, recipe))); diff != "" {
		t.Error(diff)
	}
}

// TestOneByteAtATime reads the same whatever the pieces in which the text comes.
func TestOneByteAtATime(t *testing.T) {
	p, recipe := program(t)
	text := "order,title,wide\n7,\"Tea\ntray\",20 in\n8," + strings.Repeat("x", 100_000) + ",21 in\n9,,22 in"
	whole := readAll(t, p, CSV(strings.NewReader(text), "o.csv", p, recipe))
	bytewise := readAll(t, p, CSV(iotest.OneByteReader(strings.NewReader(text)), "o.csv", p, recipe))
	if diff := cmp.Diff(whole, bytewise); diff != "" {
		t.Error(diff)
	}
}

func TestStopsWhenAsked(t *testing.T) {
	p, recipe := program(t)
	r := CSV(strings.NewReader("order,wide\n7,20 in\n8,21 in\n9,22 in\n"), "o.csv", p, recipe)
	for row := range r.Rows() {
		if row.ID == "7" {
			break
		}
	}
	if diff := cmp.Diff([]string{"3 8 wide=21 in", "4 9 wide=22 in"}, readAll(t, p, r)); diff != "" {
		t.Error(diff)
	}
}

func TestChange(t *testing.T) {
	p, recipe := program(t)
	cases := []struct {
		settings []Setting
		want     string
	}{
		{[]Setting{{"wide", "20 in"}}, "1 7 wide=20 in"},
		{[]Setting{{"wide", "20 in"}, {"off", "4"}, {"date", "2026-01-31"}, {"title", "Late"}, {"words", "a b"}}, "1 7 Late off=4 date=2026-01-31 wide=20 in words=a b"},
		{[]Setting{{"deep", "20 in"}}, "1 7: ask-missing at 1:1"},
		{[]Setting{{"wide", "20 in"}, {"wyde", "20 in"}}, "1 7: name-unknown at 2:1"},
		{[]Setting{{"wide", "20 in"}, {"deep", "20 min"}}, "1 7: unit-mismatch at 2:6"},
		{[]Setting{{"wide", "100 * fold"}}, "1 7: ask-outside at 1:6"},
		{[]Setting{{"order", "9"}}, "1 7: name-unknown at 1:1"},
		{[]Setting{{"wide", "20 in"}, {"#deep", "20 in"}}, "1 7: name-unknown at 2:1"},
	}
	for _, c := range cases {
		o := &check.Order{ID: "7", Recipe: recipe, Given: map[int]*check.Cell{}}
		if got := told(p, Change(p, o, "--set", c.settings)); got != c.want {
			t.Errorf("%v: got %s, want %s", c.settings, got, c.want)
		}
	}
}

func TestDecimal(t *testing.T) {
	cases := map[string]string{
		"5": "5", "-0.25": "-0.25", "1e0": "1", "1e3": "1000", "1.5e3": "1500", "1.25e1": "12.5", "125e-1": "12.5", "125e-3": "0.125", "1e-3": "0.001",
		"-1.5e-2": "-0.015", "0e5": "0", "1E+2": "100", "12.345e2": "1234.5",
	}
	for in, want := range cases {
		if got, err := decimal(in); err != nil || got != want {
			t.Errorf("%s gives %s, want %s (%v)", in, got, want, err)
		}
	}
	for _, in := range []string{"1e1001", "1e-1001", "1e99999999999999999999"} {
		if got, err := decimal(in); err == nil {
			t.Errorf("%s gives %.40s", in, got)
		}
	}
}

// sound checks what holds of any file whatever: each row is an order or has problems, rows go forward, and every problem has a place in the file.
func sound(t *testing.T, p *check.Program, r *Reader) {
	last := 0
	for row := range r.Rows() {
		if (row.Order == nil) != (len(row.Problems) > 0) {
			t.Errorf("line %d: an order and problems, or neither", row.Line)
		}
		if row.Line <= last || row.ID == "" {
			t.Errorf("line %d follows line %d; its id is %q", row.Line, last, row.ID)
		}
		last = row.Line
		problems := row.Problems
		if row.Order != nil {
			_, found := (&eval.Engine{Program: p}).Work(row.Order, 0)
			problems = row.Placed(found)
		}
		for _, d := range problems {
			if d.At.IsZero() && (d.Place.File != "o" || d.Place.Line < row.Line || d.Place.Column < 1) {
				t.Errorf("line %d: %s lies at %v", row.Line, d.Code, d.Place)
			}
		}
	}
	if r.Err() != nil {
		t.Error(r.Err())
	}
}

func FuzzCSV(f *testing.F) {
	for _, seed := range []string{"order,wide\n7,20 in\n", "\ufeffwide,words\n\"20\"\"\",\"a\nb\"\n", "order,wide\n7,\"20 in\n8,21 in\n", "wide\n1e5\n(((\n\x00\n\xff\n", "date,off,wide\n2026-02-30,0,3' 4-5/8\"\n"} {
		f.Add([]byte(seed))
	}
	p, recipe := program(f)
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, p, CSV(bytes.NewReader(data), "o", p, recipe)) })
}

func FuzzJSONLines(f *testing.F) {
	for _, seed := range []string{`{"order": 7, "wide": "20 in"}`, `{"wide": 1e5, "deep": [["1 in"]], "lined": true}`, "{\n{}\n[]\n\xff", `{"wide":"\u0000","wide":null}`} {
		f.Add([]byte(seed))
	}
	p, recipe := program(f)
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, p, JSONLines(bytes.NewReader(data), "o", p, recipe)) })
}

// repeated gives a heading once and then a row for ever.
type repeated struct{ text, row string }

func (r *repeated) Read(p []byte) (int, error) {
	if r.text == "" {
		r.text = r.row
	}
	n := copy(p, r.text)
	r.text = r.text[n:]
	return n, nil
}

func BenchmarkCSV(b *testing.B) {
	p, recipe := program(b)
	r := CSV(&repeated{"order,title,wide,deep,holes\n", "7,Tea tray,20 1/2 in,14 in,3\n"}, "o.csv", p, recipe)
	benchmark(b, r)
}

func BenchmarkJSONLines(b *testing.B) {
	p, recipe := program(b)
	row := `{"order": 7, "title": "Tea tray", "wide": "20 1/2 in", "deep": "14 in", "holes": 3}` + "\n"
	benchmark(b, JSONLines(&repeated{row, row}, "o.jsonl", p, recipe))
}

func benchmark(b *testing.B, r *Reader) {
	b.ReportAllocs()
	n := 0
	clock := benchtest.Start()
	for row := range r.Rows() {
		if row.Order == nil {
			b.Fatal(row.Problems)
		}
		if n++; n >= b.N {
			break
		}
	}
	clock.Rate(b, float64(n), "orders")
}

// A column whose name begins with # is nobody's, so there may be several.
func TestColumnsThatAreLeftOut(t *testing.T) {
	p, recipe := program(t)
	for heading, want := range map[string]string{"wide,# note,# note": "2 line 2 wide=10 in", "wide,,": "2 line 2 wide=10 in", "wide,holes,holes": "file: error column-twice at 1:12"} {
		all := readAll(t, p, CSV(strings.NewReader(heading+"\n10 in,3,3\n"), "mats.csv", p, recipe))
		if diff := cmp.Diff([]string{want}, all); diff != "" {
			t.Errorf("%s (-want +got):\n%s", heading, diff)
		}
	}
}

// A field in quotes may go over a hundred lines; one that goes on longer costs its own row alone.
func TestQuotesOverManyLines(t *testing.T) {
	p, recipe := program(t)
	for lines, want := range map[int]string{99: "2 a", 100: "2 a", 101: "2 line 2: row-malformed at 2:3", 300: "2 line 2: row-malformed at 2:3"} {
		text := "order,title,wide\na,\"" + strings.Repeat("x\n", lines) + "\",10 in\nb,so,12 in\n"
		all := readAll(t, p, CSV(strings.NewReader(text), "mats.csv", p, recipe))
		if !strings.HasPrefix(all[0], want) || !strings.HasPrefix(all[len(all)-1], fmt.Sprintf("%d b so", lines+3)) {
			t.Errorf("%d lines: first %.60s, last %s", lines, all[0], all[len(all)-1])
		}
	}
}

// TestLongRowsCostThemselvesAlone has a row of just a mebibyte, of more on one line, and of more on several, among others.
func TestLongRowsCostThemselvesAlone(t *testing.T) {
	p, recipe := program(t)
	const mebibyte = 1 << 20
	row := func(front, back string, length int) string {
		return front + strings.Repeat("x", length-len(front)-len(back)) + back
	}
	folded := func(length int) string {
		line := row("", "\n", 100_000)
		return "b,\"" + strings.Repeat(line, length/len(line)) + "\",21 in"
	}
	csv := "order,title,wide\na,,20 in\n%s\nc,,22 in\n"
	lines := `{"order":"a","wide":"20 in"}` + "\n%s\n" + `{"order":"c","wide":"22 in"}`
	for _, c := range []struct {
		read            func(io.Reader, string, *check.Program, *check.Recipe) *Reader
		file, row, want string
	}{
		{CSV, csv, row("b,", ",21 in", mebibyte), "3 b wide=21 in"},
		{CSV, csv, row("b,", ",21 in", mebibyte+1), "3 line 3: row-malformed at 3:1"},
		{CSV, csv, row("b,", ",21 in", 3*mebibyte), "3 line 3: row-malformed at 3:1"},
		{CSV, csv, folded(900_000), "3 b wide=21 in"},
		{CSV, csv, folded(1_200_000), "3 line 3: row-malformed at 3:3"},
		{JSONLines, lines, row(`{"order":"b","title":"`, `","wide":"21 in"}`, mebibyte), "2 b wide=21 in"},
		{JSONLines, lines, row(`{"order":"b","title":"`, `","wide":"21 in"}`, mebibyte+1), "2 line 2: row-malformed at 2:1"},
	} {
		var got []string
		for row := range c.read(strings.NewReader(fmt.Sprintf(c.file, c.row)), "o", p, recipe).Rows() {
			if row.Order != nil {
				row.Order.Title = ""
			}
			got = append(got, told(p, row))
		}
		if got[1] != c.want || !strings.HasSuffix(got[len(got)-1], " c wide=22 in") {
			t.Errorf("%d bytes, beginning %.20q: %s, and at last %s", len(c.row), c.row, got[1], got[len(got)-1])
		}
	}
}

// A mark of byte order is no part of a file at its beginning, and of nothing else.
func TestMarksOfByteOrderInsideAreText(t *testing.T) {
	p, recipe := program(t)
	all := readAll(t, p, CSV(strings.NewReader("\ufefftitle,wide\n\ufeffa,20 in\n"), "o.csv", p, recipe))
	if diff := cmp.Diff([]string{"2 line 2 \ufeffa wide=20 in"}, all); diff != "" {
		t.Error(diff)
	}
}

// What a file holds is told of in a message by its beginning, however many bytes a letter takes.
func TestMessagesQuoteLittleOfALongField(t *testing.T) {
	p, recipe := program(t)
	for _, letter := range []string{"x", "é", "布", "𝔵"} {
		long := strings.Repeat(letter, 5000)
		rows := CSV(strings.NewReader("wide,"+long+"\n10 in,1\n"), "mats.csv", p, recipe)
		readAll(t, p, rows)
		for _, d := range rows.Problems() {
			if n := strings.Count(d.Message, letter); n < 20 || n > 60 {
				t.Errorf("the message repeats %s %d times", letter, n)
			}
		}
		if len(rows.Problems()) != 1 {
			t.Errorf("%s: %d problems, want 1", letter, len(rows.Problems()))
		}
	}
}

// The place of a problem is where it stands in the file, within quotes too.
func TestPlacesInQuotes(t *testing.T) {
	p, recipe := program(t)
	for row, column := range map[string]int{"a,4 inn": 5, `a,"4 inn"`: 6, `a," 4 inn"`: 7, `a,é`: 3, `"é",4 inn`: 7, `"é","4 inn"`: 8} {
		all := readAll(t, p, CSV(strings.NewReader("order,wide\n"+row+"\n"), "mats.csv", p, recipe))
		if want := fmt.Sprintf(" at 2:%d", column); len(all) != 1 || !strings.HasSuffix(all[0], want) {
			t.Errorf("%s: %v, want a problem%s", row, all, want)
		}
	}
}
