package main

import (
	"encoding/json"
	"strings"
	"testing"
)

// shopOfRows has what a run may set: a rule, a rule of a parameter, a table that the file amends before it stands, a material, and an order.
const shopOfRows = `shop "Heron Quay Workroom" {
  currency = USD
}
amend table hem_deep from 2026-03-01 {
  drop       | gives
  up to 1 ft | 1 in
}
table hem_deep(drop: length from 0 in to 20 ft): length {
  drop       | gives | because
  up to 4 ft | 3 in  | "hangs well"
  any        | 5 in  | "weight at the foot"
}
rule fold: length = 1 in
rule ease(run: length): length {
  2 in when run > 30 in
  4 in otherwise
}
kind bolt: roll {
  usable: length = 60 in
  price:  money per length
  sold:   length = 1 yd
}
material felt: bolt { price = $9 per yd }
recipe sheet {
  ask drop: length from 6 in to 10 ft
  ask cloth: bolt = felt
  hem = hem_deep(drop) + fold + ease(drop)
  piece top from cloth = 20 in by (drop + hem)
}
price { charge material = bought }
order 9 "As it was" {
  make sheet
  date = 2026-04-02
  drop = 5 ft
}
`

// TestEveryKindOfSetIsHeard sets one thing at a time, and asks for what rests on it. Worked by hand: 5 ft take a hem of 5 in, a fold of 1 in and an
// ease of 2 in, 8 in together; the felt of 68 in is 2 yd at $9.
func TestEveryKindOfSetIsHeard(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "shop.squab", shopOfRows)
	for _, c := range []struct{ cell, set, exact string }{
		{"hem", "", "8"},
		{"hem", "9.drop=30 in", "8"},    // 3 + 1 + 4
		{"hem", "9.drop = 9 in", "6"},   // 1 + 1 + 4, by the amendment's row
		{"hem", "fold=3 in", "10"},      // 5 + 3 + 2
		{"hem", "ease(run)=7 in", "13"}, // 5 + 1 + 7
		{"hem", "hem_deep[2]=6 in", "9"},
		{"hem", "hem_deep[2] = drop / 10", "9"},
		{"hem", "hem_deep[1]=6 in", "8"}, // the row for up to 4 ft, which this order does not meet
		{"buy.felt", "", "18"},
		{"buy.felt", "felt.price=$12 per yd", "24"},
		{"buy.felt", "felt.sold=3 yd", "27"},
		{"buy.felt", "9.off=4", "36"},
		{"off", "9.off=3", "3"},
	} {
		args := []string{"why", c.cell, "shop.squab", "--format", "json"}
		if c.set != "" {
			args = append(args, "--set", c.set)
		}
		got := squab("", args...)
		var why struct{ Value exactly }
		if err := json.Unmarshal([]byte(got.out), &why); err != nil || got.status != statusWell {
			t.Errorf("--set %q: status %d, %v: %s", c.set, got.status, err, got.err)
			continue
		}
		if why.Value.Exact != c.exact {
			t.Errorf("--set %q: %s is %s %s, want %s", c.set, c.cell, why.Value.Exact, why.Value.Unit, c.exact)
		}
	}
}

// TestSetsThatCannotBeHeard sets what there is not, or what cannot be: the run is refused with the name, and nothing is worked out.
func TestSetsThatCannotBeHeard(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "shop.squab", shopOfRows)
	for _, c := range []struct {
		set    string
		status int
		says   string
	}{
		{"9.=5 ft", statusMisused, `--set is written ID.ask=VALUE`},
		{".drop=5 ft", statusMisused, `--set is written ID.ask=VALUE`},
		{"9.drop", statusMisused, `--set is written ID.ask=VALUE`},
		{"=5 ft", statusMisused, `--set is written ID.ask=VALUE`},
		{"hem deep=5 ft", statusMisused, `--set is written ID.ask=VALUE`},
		{"hem_deep[0]=5 in", statusMisused, "the table has rows 1 to 2"},
		{"hem_deep[3]=5 in", statusMisused, "the table has rows 1 to 2"},
		{"hem_deep[99999999999999999999]=5 in", statusMisused, "the table has rows 1 to 2"},
		{"hem_depe[1]=5 in", statusMisused, "did you mean hem_deep?"},
		{"fould=2 in", statusMisused, "there is no rule fould"},
		{"8.drop=5 ft", statusMisused, "--set names the order 8"},
		{"9.fold=5 ft", statusProblems, "sheet has no ask called fold"},
		{"9.drop=5 min", statusProblems, "drop must be a length"},
		{"felt.colour=3", statusProblems, "colour"},
		{"fold=3 min", statusProblems, "--set:1:"},
		{"hem_deep[1]=3 min", statusProblems, "--set:1:"},
	} {
		got := squab("", "why", "hem", "shop.squab", "--set", c.set)
		if told := strings.Join(strings.Fields(got.err), " "); got.status != c.status || got.out != "" || !strings.Contains(told, c.says) {
			t.Errorf("--set %q: status %d: %s%s", c.set, got.status, got.out, got.err)
		}
	}
}

// TestARecordsSetsMustFitTodaysRules compares a record whose run set a rule with files in which there is none of its name.
func TestARecordsSetsMustFitTodaysRules(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, "shop.squab", shopOfRows)
	put(t, "today.squab", strings.ReplaceAll(shopOfRows, "fold", "turning"))
	if r := squab("", "cut", "shop.squab", "--by-area", "--record", "kept.json", "--set", "fold=2 in"); r.status != statusWell {
		t.Fatal(r.err)
	}
	if r := squab("", "compare", "--record", "kept.json", "today.squab"); r.status != statusMisused || r.out != "" || !strings.Contains(r.err, "--set fold: there is no rule fold") {
		t.Errorf("status %d: %s%s", r.status, r.out, r.err)
	}
}

// TestFilesOfRowsAreReadByTheirNames reads the same orders from files of each kind, and from standard input by what it begins with.
func TestFilesOfRowsAreReadByTheirNames(t *testing.T) {
	house(t)
	const csv, lines = "order,wide,drop\n1,20 in,4 ft\n", `{"order":1,"wide":"20 in","drop":"4 ft"}` + "\n"
	want := ""
	for _, c := range []struct{ name, text string }{
		{"a.csv", csv}, {"a.txt", csv}, {"a.jsonl", lines}, {"a.ndjson", lines}, {"-", csv}, {"-", lines}, {"-", "\ufeff" + lines}, {"-", "\n\n" + csv},
	} {
		if c.name != "-" {
			put(t, c.name, c.text)
		}
		got := squab(c.text, "cut", "house.squab", "--orders", c.name, "--recipe", "roller_blind", "--format", "csv")
		if want == "" {
			want = got.out
		}
		if got.status != statusWell || got.out != want {
			t.Errorf("%s holding %q: status %d: %s%s", c.name, c.text, got.status, got.out, got.err)
		}
	}
	for _, alone := range [][]string{{"--orders", "a.csv"}, {"--recipe", "roller_blind"}} {
		if got := squab("", append([]string{"cut", "house.squab", "orders.squab"}, alone...)...); got.status != statusMisused || !strings.Contains(got.err, "--orders and --recipe go together") {
			t.Errorf("%v: status %d: %s", alone, got.status, got.err)
		}
	}
}
