package orders

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"squab/eval"
	"squab/eval/check"
)

// alphabet is what fields are made of at random: what CSV, JSON and the language each read as something else, among letters of one byte and more.
var alphabet = []string{`"`, ",", "\n", `\`, "{", "}", "'", ";", "#", "a", "é", "幅", "\u00a0", "4 1/2", "😀", "/", "\u2028"}

// words makes a text at random that is no blank and not in quotes, which the language would take off.
func words(r *rand.Rand) string {
	for {
		var b strings.Builder
		for range r.IntN(8) {
			b.WriteString(alphabet[r.IntN(len(alphabet))])
		}
		text := b.String()
		if strings.TrimSpace(text) != "" && quoted(text) != text {
			return text
		}
	}
}

// givenText is what a row gives the ask words.
func givenText(t *testing.T, p *check.Program, row Row) string {
	t.Helper()
	if row.Order == nil {
		t.Fatalf("line %d: %v", row.Line, row.Problems)
	}
	r, problems := (&eval.Engine{Program: p}).Work(row.Order, 0)
	if len(problems) > 0 {
		t.Fatalf("line %d: %v", row.Line, problems)
	}
	v, _ := r.Sheet.Value(row.Order.Recipe.Cell("words").Index)
	return v.Text()
}

// TestRowsOfEncodingCSV reads what encoding/csv writes, with either line end: each text comes back, on the line where its row begins.
func TestRowsOfEncodingCSV(t *testing.T) {
	p, recipe := program(t)
	r := rand.New(rand.NewPCG(4180, 1))
	for _, crlf := range []bool{false, true} {
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.UseCRLF = crlf
		w.Write([]string{"order", "words", "wide"})
		var want, got []string
		line := 2
		for i := range 400 {
			text := words(r)
			w.Write([]string{fmt.Sprint(i), text, "20 in"})
			want = append(want, fmt.Sprintf("%d %d %s", line, i, text))
			line += 1 + strings.Count(text, "\n")
		}
		w.Flush()
		for row := range CSV(&b, "o.csv", p, recipe).Rows() {
			got = append(got, fmt.Sprintf("%d %s %s", row.Line, row.ID, strings.ReplaceAll(givenText(t, p, row), "\r\n", "\n")))
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("with CRLF %v (-written +read):\n%s", crlf, diff)
		}
	}
}

// TestLinesOfEncodingJSON reads what encoding/json writes, with blanks between and without.
func TestLinesOfEncodingJSON(t *testing.T) {
	p, recipe := program(t)
	r := rand.New(rand.NewPCG(8259, 1))
	var b strings.Builder
	var want, got []string
	for i := range 400 {
		text := words(r)
		data, err := json.Marshal(map[string]string{"order": fmt.Sprint(i), "words": text, "wide": "20 in"})
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString([]string{"", " ", "\t"}[r.IntN(3)] + string(data) + []string{"\n", "\r\n", " \n", "\n\n"}[r.IntN(4)])
		want = append(want, fmt.Sprintf("%d %s", i, text))
	}
	for row := range JSONLines(strings.NewReader(b.String()), "o.jsonl", p, recipe).Rows() {
		got = append(got, row.ID+" "+givenText(t, p, row))
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-written +read:\n%s", diff)
	}
}

// TestNumbersOfJSONAreExact holds numbers of every form against math/big, which reads them by itself.
func TestNumbersOfJSONAreExact(t *testing.T) {
	p, recipe := program(t)
	r := rand.New(rand.NewPCG(8259, 2))
	for range 600 {
		number := fmt.Sprintf("%s%d.%0*d", []string{"", "-"}[r.IntN(2)], r.IntN(10), 1+r.IntN(6), r.IntN(10))
		if r.IntN(2) == 0 {
			number += fmt.Sprintf("%s%s%d", []string{"e", "E"}[r.IntN(2)], []string{"", "-", "+"}[r.IntN(3)], r.IntN(2))
		}
		want, ok := new(big.Rat).SetString(number)
		if !ok {
			t.Fatalf("%s is no number", number)
		}
		text := `{"wide":"20 in","share":` + number + "}\n"
		for row := range JSONLines(strings.NewReader(text), "o.jsonl", p, recipe).Rows() {
			inside := want.Cmp(big.NewRat(-10, 1)) >= 0
			if row.Order == nil {
				if inside {
					t.Errorf("%s is refused: %v", number, row.Problems)
				}
				continue
			}
			result, problems := (&eval.Engine{Program: p}).Work(row.Order, 0)
			if len(problems) > 0 {
				t.Fatal(number, problems)
			}
			if v, _ := result.Sheet.Value(recipe.Cell("share").Index); v.Num.Rat().Cmp(want) != 0 || !inside {
				t.Errorf("%s is read as %s", number, v.Num)
			}
		}
	}
}

// TestManyValuesAreNotMixedUp reads more values of two asks than are kept, again and again: each goes to its own ask.
func TestManyValuesAreNotMixedUp(t *testing.T) {
	p, recipe := program(t)
	var b strings.Builder
	b.WriteString("order,wide,deep\n")
	const rows = 3 * maxRecent
	size := func(i, from int) string { return fmt.Sprintf("%d %d/512 in", from+i%20, i%511+1) }
	for i := range rows {
		fmt.Fprintf(&b, "%d,%s,%s\n", i, size(i, 8), size(rows-i, 9))
	}
	r := CSV(strings.NewReader(b.String()), "o.csv", p, recipe)
	i := 0
	for row := range r.Rows() {
		for name, want := range map[string]string{"wide": size(i, 8), "deep": size(rows-i, 9)} {
			k, _ := row.Order.Given[recipe.Cell(name).Index].Expr.(*check.Const)
			whole, part, _ := strings.Cut(strings.TrimSuffix(want, " in"), " ")
			n, _ := new(big.Rat).SetString(whole)
			f, _ := new(big.Rat).SetString(part)
			if k == nil || k.Value.Num.Rat().Cmp(n.Add(n, f)) != 0 {
				t.Fatalf("row %d: %s of %s is read as %v", i, name, want, k)
			}
		}
		i++
	}
	if kept := len(r.values.recent); i != rows || kept > maxRecent {
		t.Errorf("%d of %d rows; %d values are kept", i, rows, kept)
	}
}

// TestColumnsThatAreKeptAreBounded reads lines each of which has a key of its own, which names no ask.
func TestColumnsThatAreKeptAreBounded(t *testing.T) {
	p, recipe := program(t)
	var b strings.Builder
	for i := range 2 * maxRecent {
		fmt.Fprintf(&b, `{"wide":"20 in","remark_%d_of_nobody":1}`+"\n", i)
	}
	r := JSONLines(strings.NewReader(b.String()), "o.jsonl", p, recipe)
	n := 0
	for row := range r.Rows() {
		if row.Order == nil {
			t.Fatal(row.Problems)
		}
		n++
	}
	if kept := len(r.values.columns); n != 2*maxRecent || kept > maxRecent {
		t.Errorf("%d lines; %d columns are kept", n, kept)
	}
}
