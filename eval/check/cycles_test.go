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
