package check

import (
	"slices"
	"sort"

	"squab/lang"
	"squab/lang/diag"
)

// unknown reports a name that nothing bears, with the nearest that something does.
func (c *checker) unknown(sort string, name lang.Name, known []string) *diag.Diagnostic {
	d := c.fail("name-unknown", name.At, "there is no %s called %s", sort, name.Text)
	if near := Nearest(name.Text, known); near != "" {
		d.Fix("did you mean " + near + "?")
	}
	return d
}

// Nearest gives the known name that is fewest changes of a letter away, if that is few enough to be a slip; ties go to the first in order.
func Nearest(name string, known []string) string {
	best, fewest := "", max(2, len(name)/3)+1
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

func contains(all []string, s string) bool { return slices.Contains(all, s) }

// scope is where a formula's names are looked up, innermost first.
type scope struct {
	outer  *scope
	frame  Frame
	cells  map[string]*Cell
	recipe *Recipe
	next   *int // the next free slot of the frame on the stack, for loops
	price  bool // a proof's formulas may name the lines of the price
	place  string
}

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
	return &scope{outer: s, frame: InLoop, cells: map[string]*Cell{}, next: s.next}
}
