package check

import (
	"slices"
	"sort"

	"squab/lang"
	"squab/lang/diag"
)

// names lists the names that might have been meant, when they are asked for.
type names func() []string

func namesOf[T any](m map[string]T) names { return func() []string { return sortedKeys(m) } }

func these(all ...string) names { return func() []string { return all } }

// and lists the names of several sorts, sorted.
func (n names) and(others ...names) names {
	return func() []string {
		all := slices.Clone(n())
		for _, other := range others {
			all = append(all, other()...)
		}
		slices.Sort(all)
		return all
	}
}

// unknown reports a name that nothing bears, with the nearest that something does. Of a name whose declaration was found wrong nothing more is said.
func (c *checker) unknown(sort string, name lang.Name, known names) *diag.Diagnostic {
	if name.Text == "" || c.lost[name.Text] {
		return &diag.Diagnostic{}
	}
	d := c.fail("name-unknown", name.At, "there is no %s called %s", sort, name.Text)
	if c.guesses > mostGuesses {
		return d
	}
	all := known()
	c.guesses += len(all)
	if near := Nearest(name.Text, all); near != "" {
		return d.Fix("did you mean " + near + "?")
	}
	if len(all) > 0 && len(all) <= fewNames {
		d.Fix("there is " + joinWords(all))
	}
	return d
}

// fewNames is how many names are all shown where none is near.
const fewNames = 6

// mostGuesses is how many names are compared for the sake of "did you mean" before a book of many mistakes gets no more of it.
const mostGuesses = 200_000

func (c *checker) nearest(name string, known names) string {
	if c.guesses > mostGuesses {
		return ""
	}
	all := known()
	c.guesses += len(all)
	return Nearest(name, all)
}

// lose notes a name whose declaration was found wrong, so that its uses are not reported as well.
func (c *checker) lose(all ...lang.Name) {
	for _, n := range all {
		c.lost[n.Text] = true
	}
}

// Nearest gives the known name that is fewest changes of a letter away, if that is few enough to be a slip; ties go to the first in order.
func Nearest(name string, known []string) string {
	slips := min(max(2, len(name)/3), max(1, len(name)-1)) // a name of two letters changed twice is another name
	best, fewest := "", slips+1
	for _, k := range known {
		if n := changes(name, k, fewest); n < fewest {
			best, fewest = k, n
		}
	}
	return best
}

// changes counts the letters put in, left out, altered or swapped between a and b (restricted Damerau-Levenshtein distance), at most limit.
func changes(a, b string, limit int) int {
	if d := len(a) - len(b); d >= limit || -d >= limit {
		return limit
	}
	var before []int
	last := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			same := 1
			if a[i-1] == b[j-1] {
				same = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+same)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return min(last[len(b)], limit)
}

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// scope is where a formula's names are looked up, innermost first.
type scope struct {
	outer  *scope
	frame  Frame
	cells  map[string]*Cell
	recipe *Recipe
	makes  *Recipe // what an order makes: its cells are out of reach of what the order gives
	next   *int    // the next free slot of the frame on the stack, for loops
	price  bool    // a proof's formulas may name the lines of the price
}

// global is the scope of a formula that stands on its own: it sees rules and materials alone.
func global() *scope { return &scope{next: new(int)} }

// find looks a name up through the scopes.
func (s *scope) find(name string) (*Cell, *scope) {
	for ; s != nil; s = s.outer {
		if cell := s.cells[name]; cell != nil {
			return cell, s
		}
	}
	return nil, nil
}

// recipeOf gives the recipe whose cells are in scope, if any.
func (s *scope) recipeOf() *Recipe {
	for ; s != nil; s = s.outer {
		if s.recipe != nil {
			return s.recipe
		}
	}
	return nil
}

// known lists the names in scope.
func (s *scope) known() []string {
	var all []string
	for ; s != nil; s = s.outer {
		all = append(all, sortedKeys(s.cells)...)
		if s.recipe != nil {
			all = append(all, sortedKeys(s.recipe.parts)...)
		}
	}
	return all
}

// inner makes the scope of a loop's variables; they take slots on the stack frame that the formula around them uses.
func (s *scope) inner() *scope {
	return &scope{outer: s, frame: InLoop, cells: map[string]*Cell{}, next: s.next, makes: s.makes}
}
