package check_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"squab/eval/check"
	"squab/lang/diag"
)

// web is which of some cells each cell needs.
type web [][]int

func (d draw) web(n, edges int) web {
	w := make(web, n)
	for range edges {
		i := d.IntN(n)
		w[i] = append(w[i], d.IntN(n))
	}
	return w
}

// reach tells, by repeated joining, which cells lead to which (Warshall, Journal of the ACM 9, 1962).
func (w web) reach() [][]bool {
	r := make([][]bool, len(w))
	for i, needs := range w {
		r[i] = make([]bool, len(w))
		for _, j := range needs {
			r[i][j] = true
		}
	}
	for k := range w {
		for i := range w {
			for j := range w {
				r[i][j] = r[i][j] || r[i][k] && r[k][j]
			}
		}
	}
	return r
}

func (w web) formula(i int) string {
	s := "1 in"
	for _, j := range w[i] {
		s += fmt.Sprintf(" + c%d", j)
	}
	return s
}

// ringsOf reads the rings from the problems, as the numbers of their cells.
func ringsOf(t *testing.T, problems []diag.Diagnostic) (rings [][]int) {
	t.Helper()
	for _, d := range problems {
		if d.Code != "cycle" {
			t.Fatalf("%s: %s", d.Code, d.Message)
		}
		_, names, _ := strings.Cut(d.Message, ": ")
		var ring []int
		for _, name := range strings.Split(names, " → ") {
			var i int
			if _, err := fmt.Sscanf(name, "c%d", &i); err != nil {
				t.Fatalf("%q names no cell: %s", name, d.Message)
			}
			ring = append(ring, i)
		}
		rings = append(rings, ring)
	}
	return rings
}

// Every ring that is reported is one, and wherever cells rest on themselves one of those that lead to each other is reported.
func TestRandomCycles(t *testing.T) {
	for _, form := range []struct{ name, head, line, foot string }{
		{"cells", "recipe pad {\n", " c%d = %s\n", "}\n"},
		{"rules", "", "rule c%d: length = %s\n", ""},
		{"asks", "recipe pad {\n", " ask c%d: length = %s\n", "}\n"},
		{"a rule's own cells", "rule lip: length {\n", " c%d = %s\n", " 1 in otherwise\n}\n"},
	} {
		t.Run(form.name, func(t *testing.T) {
			for seed := range uint64(400) {
				d := draw{rand.New(rand.NewPCG(seed, 6))}
				n := 2 + d.IntN(8)
				w := d.web(n, d.IntN(2*n))
				text := form.head
				for _, i := range d.Perm(n) {
					text += fmt.Sprintf(form.line, i, w.formula(i))
				}
				_, problems := checkText(text + form.foot)
				w.compare(t, ringsOf(t, problems), text)
			}
		})
	}
}

func (w web) compare(t *testing.T, rings [][]int, text string) {
	t.Helper()
	reach := w.reach()
	for _, ring := range rings {
		for k, i := range ring[1:] {
			if !slices.Contains(w[ring[k]], i) {
				t.Fatalf("c%d does not need c%d in the ring %v:\n%s", ring[k], i, ring, text)
			}
		}
	}
	for i := range w {
		told := slices.ContainsFunc(rings, func(ring []int) bool { return reach[i][ring[0]] && reach[ring[0]][i] })
		if reach[i][i] && !told {
			t.Fatalf("c%d rests on itself, and no ring of its own is in %v:\n%s", i, rings, text)
		}
	}
}

// However cells rest on each other, each slot follows what it reads, and stands once.
func TestSlotsInOrder(t *testing.T) {
	for seed := range uint64(300) {
		d := draw{rand.New(rand.NewPCG(seed, 7))}
		n := 2 + d.IntN(12)
		text := "recipe sub {\n ask wide: length\n far = wide * 2\n}\nrecipe pad {\n c0 = 1 in\n"
		for _, i := range d.Perm(n) {
			if i > 0 {
				text += fmt.Sprintf(" c%d = c%d + p%d.far\n part p%d = sub { wide = c%d }\n", i, d.IntN(i), i, i, d.IntN(i))
			}
		}
		p, problems := checkText(text + "}\n")
		if len(problems) > 0 {
			t.Fatalf("%s\n%s", problems[0].Message, text)
		}
		slots := check.Layout(p.Recipe("pad"))
		order, ring := check.SortSlots(slots)
		if ring != nil || len(order) != len(slots) {
			t.Fatalf("%d of %d slots in order, ring %v", len(order), len(slots), ring)
		}
		done := make([]bool, len(slots))
		for _, i := range order {
			for _, need := range slots[i].Needs() {
				if !done[need] {
					t.Fatalf("%s comes before %s, which it reads", slots[i].Name, slots[need].Name)
				}
			}
			done[i] = true
		}
		if slices.Contains(done, false) {
			t.Fatal("a slot is missing from the order")
		}
	}
}

// layered is a book of lengths of which each has amendments in force at different times. Days are counted from 1 January 2026.
type layered [][]layer

type layer struct {
	from, until int // from 0 is undated
	needs       []int
}

// layered draws amendments of each of n lengths whose begins differ, latest first as the language reads them, the length's own formula last.
func (d draw) layered(n int) layered {
	all := make(layered, n)
	for i := range all {
		for from := 5; from >= 0; from-- {
			if from == 0 || d.IntN(4) == 0 {
				all[i] = append(all[i], layer{from, from + 1 + d.IntN(3), d.needs(n)})
			}
		}
	}
	return all
}

func (d draw) needs(n int) []int {
	if d.IntN(2) == 0 {
		return nil
	}
	return []int{d.IntN(n)}
}

// on gives what each length needs on a day; amendments that leave some values let what is beneath them count too.
func (all layered) on(day int, leaving bool) web {
	w := make(web, len(all))
	for i, layers := range all {
		for _, l := range layers {
			if l.from > 0 && (day < l.from || l.until <= day) {
				continue
			}
			w[i] = append(w[i], l.needs...)
			if !leaving {
				break
			}
		}
	}
	return w
}

func (all layered) rings(leaving bool) bool {
	for day := range 10 {
		reach := all.on(day, leaving).reach()
		for i := range reach {
			if reach[i][i] {
				return true
			}
		}
	}
	return false
}

func (all layered) text(own, foot, amended string) string {
	var heads, amends string
	for i, layers := range all {
		for _, l := range layers {
			value := web{l.needs}.formula(0)
			if l.from == 0 {
				heads += fmt.Sprintf(own, i, value)
				continue
			}
			amends += fmt.Sprintf(amended, i, l.from, l.until, value)
		}
	}
	return heads + foot + amends
}

// Lengths that rest on each other are a ring if they do so on one day, and only then.
func TestRandomDatedCycles(t *testing.T) {
	for _, form := range []struct {
		name, head, own, foot, amended string
		leaving                        bool
	}{
		{"rules", "", "rule c%d: length = %s\n", "", "amend c%d from 2026-01-%02d until 2026-01-%02d = %s\n", false},
		{"rules with cases", "rule gap: length\n", "rule c%d: length = %s\n", "",
			"amend c%d from 2026-01-%02d until 2026-01-%02d {\n 2 in when gap > 2 in\n %s otherwise\n}\n", false},
		{"rules of some values", "rule gap: length\n", "rule c%d: length = %s\n", "",
			"amend c%d from 2026-01-%02d until 2026-01-%02d {\n %s when gap > 2 in\n}\n", true},
		{"fields", "kind tape: supply {\n price: money per each\n sold: count = 1\n", " c%d: length = %s\n", "}\nmaterial marsh: tape { price = $1 per each }\n",
			"amend material marsh from 2026-01-%02[2]d until 2026-01-%02[3]d { c%[1]d = %[4]s }\n", false},
	} {
		t.Run(form.name, func(t *testing.T) {
			seen := [2]int{}
			for seed := range uint64(600) {
				d := draw{rand.New(rand.NewPCG(seed, 8))}
				all := d.layered(2 + d.IntN(4))
				text := form.head + all.text(form.own, form.foot, form.amended)
				_, problems := checkText(text)
				for _, p := range problems {
					if p.Code != "cycle" && p.Code != "amend-clash" {
						t.Fatalf("%s: %s\n%s", p.Code, p.Message, text)
					}
				}
				told := slices.ContainsFunc(problems, func(d diag.Diagnostic) bool { return d.Code == "cycle" })
				if told != all.rings(form.leaving) {
					t.Fatalf("ring told: %v, there is one: %v\n%s", told, all.rings(form.leaving), text)
				}
				if told {
					seen[1]++
				} else {
					seen[0]++
				}
			}
			if min(seen[0], seen[1]) < 60 {
				t.Errorf("%d books without and %d with a ring: the draw is lopsided", seen[0], seen[1])
			}
		})
	}
}

// An amendment may turn round which of two rules rests on the other: what it takes the place of is then out of force.
func TestTurnedRound(t *testing.T) {
	for _, text := range []string{
		"rule welt: length = seam / 2\nrule seam: length = 1/2 in\namend welt = 3/8 in\namend seam = welt * 2\n",
		"rule welt: length = seam / 2\nrule seam: length = 1/2 in\norder 7 {\n make pad\n amend welt = 3/8 in\n amend seam = welt * 2\n}\nrecipe pad { lip = seam }\n",
		"rule welt: length = seam / 2\nrule seam: length = 1/2 in\namend welt from 2026-03-01 = 3/8 in\namend seam from 2026-03-01 = welt * 2\n",
	} {
		if _, problems := checkText(text); len(problems) > 0 {
			t.Errorf("%s: %s\n%s", problems[0].Code, problems[0].Message, text)
		}
	}
}
