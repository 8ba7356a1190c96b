package layout_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"squab/stdlib/layout"
)

// solver is a general-purpose program that solves the same question as an integer
// programme: its Debian package, the arguments that read a file and write the
// answer, and how the least cost is read from that.
type solver struct {
	program, debian string
	args            func(file, answer string) []string
	read            func(text string) string
}

var solvers = []solver{
	{"glpsol", "glpk-utils", func(file, answer string) []string { return []string{"--lp", file, "-o", answer, "--tmlim", "20"} },
		func(text string) string { return field(text, "Objective:", 3) }},
	{"cbc", "coinor-cbc", func(file, answer string) []string { return []string{file, "sec", "20", "solve", "solu", answer} },
		func(text string) string { return field(text, "Optimal", 4) }},
}

// field is the n-th word of the first line that starts with a mark.
func field(text, mark string, n int) string {
	for line := range strings.Lines(text) {
		if words := strings.Fields(line); strings.HasPrefix(line, mark) && len(words) > n {
			return words[n]
		}
	}
	return ""
}

// solverCases are random needs that a solver answers in a moment.
var solverCases = []struct {
	name    string
	seeds   uint64
	limited bool // a stock in short supply: near the least cost, not always proved
	draw    func(*rand.Rand) ([]layout.StickStock, layout.StickRule, []layout.StickPiece)
}{
	{"two lengths at prices", 5, false, func(r *rand.Rand) ([]layout.StickStock, layout.StickRule, []layout.StickPiece) {
		stocks := []layout.StickStock{{Name: "short", Long: 60, Price: within(r, 50, 69)}, {Name: "long", Long: 96, Price: within(r, 80, 109)}}
		return stocks, layout.StickRule{Kerf: 1}, rails(r, 5, 14, 53, 9)
	}},
	{"one length, many wanted", 5, false, func(r *rand.Rand) ([]layout.StickStock, layout.StickRule, []layout.StickPiece) {
		return []layout.StickStock{{Name: "lath", Long: 144, Price: 1}}, layout.StickRule{Kerf: r.Int64N(3)}, rails(r, 6, 30, 100, 40)
	}},
	{"three lengths, the cheapest in short supply", 5, true, func(r *rand.Rand) ([]layout.StickStock, layout.StickRule, []layout.StickPiece) {
		stocks := []layout.StickStock{
			{Name: "offcut", Long: 48, Price: within(r, 5, 20), Limit: 1 + r.IntN(4)}, {Name: "short", Long: 72, Price: within(r, 60, 70)}, {Name: "long", Long: 96, Price: within(r, 78, 99)},
		}
		return stocks, layout.StickRule{Kerf: 1}, rails(r, 4, 18, 60, 8)
	}},
}

func rails(r *rand.Rand, kinds int, least, most int64, count int) []layout.StickPiece {
	var pieces []layout.StickPiece
	for range kinds {
		pieces = append(pieces, layout.StickPiece{Name: "rail", Long: within(r, least, most), Count: 1 + r.IntN(count)})
	}
	return pieces
}

func TestStickOptimaAgainstSolvers(t *testing.T) {
	for _, s := range solvers {
		for _, c := range solverCases {
			t.Run(s.program+" on "+c.name, func(t *testing.T) {
				if _, err := exec.LookPath(s.program); err != nil {
					t.Skipf("install the Debian package %s to run this check", s.debian)
				}
				for seed := range c.seeds {
					stocks, rule, pieces := c.draw(rand.New(rand.NewPCG(seed, 79)))
					got := laySticks(t, stocks, rule, pieces)
					want, err := strconv.ParseInt(s.answer(t, asProgramme(stocks, rule.Kerf, pieces)), 10, 64)
					if err != nil || got.CostBound > want || got.Cost < want || got.Proved && got.Cost > want {
						t.Errorf("seed %d: cost %d, bound %d, but %s says %d (%v)", seed, got.Cost, got.CostBound, s.program, want, err)
					}
					if !c.limited && !got.Proved || got.Cost*100 > want*101 || got.CostBound*100 < want*95 {
						t.Errorf("seed %d: cost %d, bound %d, proved %v, least %d", seed, got.Cost, got.CostBound, got.Proved, want)
					}
				}
			})
		}
	}
}

// answer is the least cost that a solver finds.
func (s solver) answer(t *testing.T, programme string) string {
	t.Helper()
	file, answer := filepath.Join(t.TempDir(), "cut.lp"), filepath.Join(t.TempDir(), "answer")
	if err := os.WriteFile(file, []byte(programme), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(s.program, s.args(file, answer)...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	text, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	whole, _, _ := strings.Cut(s.read(string(text)), ".")
	return whole
}

// asProgramme lists every pattern of every stock as a whole variable.
func asProgramme(stocks []layout.StickStock, kerf int64, pieces []layout.StickPiece) string {
	cost, rows, names := []string{}, make([][]string, len(pieces)), []string{}
	ofStock := make([][]string, len(stocks))
	for s, stock := range stocks {
		patterns([]int{}, stock.Long+kerf, kerf, pieces, func(counts []int) {
			name := fmt.Sprintf("x%d_%d", s, len(names))
			names, ofStock[s] = append(names, name), append(ofStock[s], name)
			cost = append(cost, fmt.Sprintf("%d %s", stock.Price, name))
			for i, n := range counts {
				if n > 0 {
					rows[i] = append(rows[i], fmt.Sprintf("%d %s", n, name))
				}
			}
		})
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Minimize\n obj: %s\nSubject To\n", strings.Join(cost, "\n + "))
	for i, row := range rows {
		fmt.Fprintf(&b, " d%d: %s >= %d\n", i, strings.Join(row, "\n + "), pieces[i].Count)
	}
	for s, stock := range stocks {
		if stock.Limit > 0 {
			fmt.Fprintf(&b, " s%d: %s <= %d\n", s, strings.Join(ofStock[s], "\n + "), stock.Limit)
		}
	}
	fmt.Fprintf(&b, "General\n %s\nEnd\n", strings.Join(names, "\n "))
	return b.String()
}

func patterns(counts []int, room, kerf int64, pieces []layout.StickPiece, each func([]int)) {
	if len(counts) == len(pieces) {
		each(counts)
		return
	}
	take := pieces[len(counts)].Long + kerf
	for n := int64(0); n*take <= room; n++ {
		patterns(append(counts[:len(counts):len(counts)], int(n)), room-n*take, kerf, pieces, each)
	}
}
