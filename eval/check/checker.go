package check

import (
	"cmp"
	"fmt"
	"slices"
	"sort"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// checker holds what is known while a book is checked.
type checker struct {
	p        *Program
	problems *diag.List
	words    map[string][]*Choice
	kinds    map[string]*Kind
	choices  map[string]*Choice
	values   map[string]definition // rules and materials
	recipes  map[string]*Recipe
	cautions map[string]*Caution
	pending  map[*Cell]*pending
	trees    trees
	ids      map[string]*Order
	kindSets map[*Kind]set
	lost     map[string]bool // names whose declaration was found wrong
	spoilt   []diag.Pos      // where the parser found something wrong, rising
	currency *lang.Measure   // the first amount of money, where the shop names no currency
	guesses  int             // names compared for "did you mean"
	depth    int             // formulas being checked within each other
	inRing   map[*Cell]bool
	settling []*Cell // whose formulas are being checked, each for the sake of the one before
	slots    int     // of all recipes laid out with their parts
}

// trees keeps the declarations beside what they became, in order.
type trees struct {
	rules     []ruleTree
	materials []materialTree
	kinds     []kindTree
	recipes   map[*Recipe]*lang.RecipeDecl
	cautions  []cautionTree
	amends    []amendTree
	tables    []tableTree
	orders    []orderTree
	price     *lang.PriceDecl
	shop      *lang.Shop
}

type (
	ruleTree struct {
		rule *Rule
		decl *lang.RuleDecl
	}
	materialTree struct {
		material *Material
		decl     *lang.MaterialDecl
	}
	kindTree struct {
		kind *Kind
		decl *lang.KindDecl
	}
	cautionTree struct {
		caution *Caution
		decl    *lang.CautionDecl
	}
	amendTree struct {
		decl  *lang.AmendDecl
		order *Order
	}
	tableTree struct {
		rule *Rule
		decl *lang.TableDecl
	}
	orderTree struct {
		order *Order
		decl  lang.Decl
		make  *lang.Make
		stmts []lang.Stmt
	}
)

// pending is a cell whose formula is yet to be checked.
type pending struct {
	tree  lang.Expr
	want  *Type
	what  string // how a message calls it
	scope *scope
	cents bool  // a charge: rounded to the cent
	when  *Cell // of a charge: where this does not hold it is nothing
	state checkState
}

// Check checks the trees together as one book and adds what is wrong to problems, which should hold what the parser found wrong with them.
// It always gives a Program; where Sound is false its orders rest on something that was found wrong.
func Check(files *diag.Files, parsed []*lang.File, problems *diag.List) *Program {
	c := newChecker(files, problems)
	c.declare(parsed)
	c.checkBodies()
	c.checkOrders()
	c.spareLoops()
	c.blame()
	c.p.Epochs = c.epochs()
	c.p.known = c
	return c.p
}

func newChecker(files *diag.Files, problems *diag.List) *checker {
	c := &checker{
		p:        &Program{Files: files, Units: &quantity.Units{}},
		problems: problems,
		words:    map[string][]*Choice{},
		kinds:    map[string]*Kind{},
		choices:  map[string]*Choice{},
		values:   map[string]definition{},
		recipes:  map[string]*Recipe{},
		cautions: map[string]*Caution{},
		pending:  map[*Cell]*pending{},
		ids:      map[string]*Order{},
		kindSets: map[*Kind]set{},
		lost:     map[string]bool{},
		inRing:   map[*Cell]bool{},
		trees:    trees{recipes: map[*Recipe]*lang.RecipeDecl{}},
	}
	for _, d := range problems.All() {
		c.spoilt = append(c.spoilt, d.At.Start)
	}
	return c
}

// checkBodies checks every formula outside orders and proofs, and then what only the whole shows.
func (c *checker) checkBodies() {
	c.checkKinds()
	c.checkMaterials()
	c.checkRules()
	c.checkCautions()
	for _, r := range c.p.Recipes {
		c.recipe(r)
	}
	c.checkPrice()
	c.checkAmends()
	c.findCycles()
	c.proveRules()
}

// spoiled reports whether the parser found something wrong in a declaration: what seems to be missing from it may be what could not be read.
func (c *checker) spoiled(decl diag.Span) bool {
	i, _ := slices.BinarySearch(c.spoilt, decl.Start)
	return i < len(c.spoilt) && c.spoilt[i] < decl.End
}

// blame marks the orders and proofs in which something is wrong; the book is sound if nothing is wrong outside them.
func (c *checker) blame() {
	trees := slices.Clone(c.trees.orders)
	slices.SortFunc(trees, func(a, b orderTree) int { return cmp.Compare(a.decl.Span().Start, b.decl.Span().Start) })
	c.p.Sound = true
	for _, d := range c.problems.All() {
		if d.Severity != diag.Error {
			continue
		}
		if o := orderAt(trees, d.At.Start); o != nil {
			o.Bad = true
			continue
		}
		c.p.Sound = false
	}
}

// orderAt gives the order in whose declaration a place lies; trees are in order of place.
func orderAt(trees []orderTree, at diag.Pos) *Order {
	i, exact := slices.BinarySearchFunc(trees, at, func(t orderTree, at diag.Pos) int { return cmp.Compare(t.decl.Span().Start, at) })
	if !exact {
		i--
	}
	if i < 0 || at >= trees[i].decl.Span().End {
		return nil
	}
	return trees[i].order
}

// spareLoops keeps room on the stack of every recipe for the loops of formulas that stand on their own.
func (c *checker) spareLoops() {
	for _, r := range c.p.Recipes {
		r.LoopSize = max(r.LoopSize, mostLoops)
	}
	if c.p.Price != nil {
		c.p.Price.LoopSize = max(c.p.Price.LoopSize, mostLoops)
	}
}

// mostLoops is how many variables the for each of one formula outside recipes and rules may have.
const mostLoops = 16

// fail reports an error.
func (c *checker) fail(code string, at diag.Span, format string, args ...any) *diag.Diagnostic {
	return c.problems.Error(code, at, fmt.Sprintf(format, args...))
}

// layer says whose source a place is in.
func (c *checker) layer(at diag.Span) diag.Layer {
	if src := c.p.Files.Source(at.Start); src != nil {
		return src.Layer
	}
	return diag.House
}

// epochs lists the days on which something comes into force or ceases to be.
func (c *checker) epochs() []int64 {
	var days []int64
	for _, r := range c.p.Rules {
		for _, a := range r.Amends {
			days = a.days(days)
		}
	}
	for _, m := range c.p.Materials {
		days = m.days(days)
	}
	slices.Sort(days)
	return slices.Compact(days)
}

func (m *Material) days(all []int64) []int64 {
	for _, a := range m.Amends {
		all = a.days(all)
	}
	return all
}

// days adds the days on which the window opens and closes.
func (w Window) days(all []int64) []int64 {
	if w.HasFrom {
		all = append(all, w.From)
	}
	if w.HasUntil {
		all = append(all, w.Until)
	}
	return all
}

// byPriority puts what lies over first.
func byPriority[T any](all []T, window func(T) Window) {
	sort.SliceStable(all, func(i, j int) bool { return window(all[i]).Beats(window(all[j])) })
}

func quoted(q *lang.Quote) string {
	if q == nil {
		return ""
	}
	return q.Value
}

func why(w lang.Why) Why { return Why{quoted(w.Because), quoted(w.Source)} }
