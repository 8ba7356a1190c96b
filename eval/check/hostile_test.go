package check_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// checkText parses and checks a text that is a book of its own.
func checkText(text string) (*check.Program, []diag.Diagnostic) {
	files, problems := &diag.Files{}, &diag.List{}
	tree := lang.Parse(files.Add("house.squab", text, diag.House), lang.Limits{}, problems)
	p := check.Check(files, []*lang.File{tree}, problems)
	return p, problems.All()
}

// repeat writes a line for each i from 1 to n.
func repeat(n int, line func(i int) string) string {
	var b strings.Builder
	for i := 1; i <= n; i++ {
		b.WriteString(line(i))
		b.WriteByte('\n')
	}
	return b.String()
}

func f(format string) func(int) string {
	return func(i int) string {
		return strings.NewReplacer("{i}", fmt.Sprint(i), "{i-1}", fmt.Sprint(i-1), "{i/2}", fmt.Sprint(i/2)).Replace(format)
	}
}

// Books far larger than any workroom's are checked in time that grows as they do.
func TestLargeBooks(t *testing.T) {
	for _, test := range []struct{ name, text string }{
		{"a chain of cells", "recipe pad {\n a0 = 1 in\n" + repeat(10_000, f(" a{i} = a{i-1} + 1 in")) + "}\n"},
		{"a chain of cells, last first", "recipe pad {\n" + repeat(10_000, func(i int) string { return fmt.Sprintf(" a%d = a%d + 1 in", 10_000-i, 10_001-i) }) + " a10000 = 1 in\n}\n"},
		{"a chain of rules", "rule a0: length = 1 in\n" + repeat(9_999, f("rule a{i}: length = a{i-1} + 1 in"))},
		{"a chain of a rule's own cells", "rule lip: length {\n a0 = 1 in\n" + repeat(10_000, f(" a{i} = a{i-1} + 1 in")) + " a10000 otherwise\n}\n"},
		{"a long sum", "rule lip: length = 1 in" + strings.Repeat(" + 1 in", 10_000) + "\n"},
		{"many orders of one recipe", "recipe pad {\n ask wide: length\n}\n" + repeat(10_000, f("order {i} {\n make pad\n wide = {i} in\n}"))},
		{"many orders that amend one rule", "rule lip: length = 1 in\nrecipe pad { a = lip }\n" + repeat(10_000, f("order {i} {\n make pad\n amend lip = {i} in\n}"))},
		{"many amendments of one rule", "rule lip: length = 1 in\n" + repeat(10_000, func(i int) string { return "amend lip from " + check.DateText(int64(20_000+i)) + " = 2 in" })},
		{"many rules", repeat(5_000, f("rule lip{i}(run: length): length {\n 1 in when run < {i} in\n 2 in otherwise\n}"))},
		{"a table of many rows", "table lip(run: length): length {\n run | gives\n" + repeat(2_000, f(" up to {i} in | {i} in")) + " any | 1 in\n}\n"},
		{"a unique table of many rows", "table lip(run: length): length unique {\n run | gives\n up to 0 in | 1 in\n" + repeat(2_000, f(" over {i-1} in up to {i} in | {i} in")) + " over 2000 in | 1 in\n}\n"},
		{"an interpolated table of many rows", "table lip(run: length from 1 in to 2000 in): length interpolated {\n run | gives\n" + repeat(2_000, f(" {i} in | {i} in")) + "}\n"},
		{"a rule of many cases", "rule lip(n: count from 1 to 2000): length {\n" + repeat(2_000, f(" {i} in when n = {i}")) + "}\n"},
		{"many materials", "kind cloth: roll {\n usable: length = 54 in\n price: money per length\n sold: length = 1 yd\n}\n" + repeat(5_000, f("material m{i}: cloth { price = ${i} per yd }"))},
		{"many pieces and marks", "recipe pad {\n ask cover: cloth\n" + repeat(3_000, f(" piece p{i} from cover = 3 in by 4 in\n marks m{i} on p{i} = [1 in at 1 in]")) + "}\nkind cloth: roll {\n usable: length = 54 in\n price: money per length\n sold: length = 1 yd\n}\n"},
		{"recipes within recipes", "recipe r0 { a = 1 in }\n" + repeat(100, f("recipe r{i} { part p = r{i-1} { } }"))},
	} {
		t.Run(test.name, func(t *testing.T) {
			from := time.Now()
			_, problems := checkText(test.text)
			if took := time.Since(from); took > 3*time.Second {
				t.Errorf("took %v", took)
			} else {
				t.Log(took)
			}
			for _, d := range problems {
				t.Fatalf("%s: %s", d.Code, d.Message)
			}
		})
	}
}

// Books that mean harm end in problems, and soon.
func TestHostileBooks(t *testing.T) {
	for _, test := range []struct{ name, text, code string }{
		{"doubling cells", "rule lip(n: count): length {\n a0 = n > 1\n" + repeat(60, f(" a{i} = a{i-1} and a{i-1} or a{i-1}")) + " 1 in when a60\n}\n", "proof-too-large"},
		{"doubling forms", "rule lip(n: count): length {\n a0 = n + 1\n" + repeat(60, f(" a{i} = (a{i-1} + a{i-1}) / 2")) + " 1 in when a60 > 3\n}\n", "case-gap"},
		{"conditions without end", "rule lip(n: count): length {\n 1 in when " + strings.Repeat("(n = 1 or n = 2) and ", 3000) + "n = 3\n}\n", "case-unreachable"},
		{"many unknown names", "recipe pad {\n" + repeat(20_000, f(" a{i} = b{i} + 1 in")) + "}\n", "name-unknown"},
		{"many rings", repeat(3_000, f("rule a{i}: length = b{i}\nrule b{i}: length = a{i}")), "cycle"},
		{"one ring of all", repeat(9_999, f("rule a{i}: length = a{i-1}")) + "rule a0: length = a9999\n", "cycle"},
		{"everything rests on everything", repeat(150, func(i int) string {
			return fmt.Sprintf("rule a%d: length = %s", i, strings.TrimSuffix(strings.ReplaceAll(repeat(150, f("a{i} +")), "\n", " "), " + "))
		}), "cycle"},
		{"a duplicate of everything", "rule lip: length = 1 in\n" + repeat(3_000, f("amend lip = {i} in")), "amend-clash"},
		{"too long a chain of rules", "rule a0: length = 1 in\n" + repeat(30_000, f("rule a{i}: length = a{i-1}")), "formula-too-deep"},
		{"parts without end", "recipe r0 { a = 1 in }\n" + repeat(3_000, f("recipe r{i} { part p = r{i-1} { } }")), "recipe-too-large"},
		{"overlapping rows", "table lip(run: length): length unique {\n run | gives\n" + repeat(60, f(" up to {i} in | 1 in")) + " any | 1 in\n}\n", "row-overlap"},
	} {
		t.Run(test.name, func(t *testing.T) {
			from := time.Now()
			_, problems := checkText(test.text)
			if took := time.Since(from); took > 5*time.Second {
				t.Errorf("took %v", took)
			} else {
				t.Log(took, len(problems))
			}
			if len(problems) == 0 || problems[0].Code != test.code {
				t.Errorf("found %d problems, want %s first", len(problems), test.code)
				if len(problems) > 0 {
					t.Log(problems[0])
				}
			}
		})
	}
}
