package check

import (
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
	scope *scope
	cents bool // a charge: rounded to the cent
	state checkState
}

// Check checks the trees together as one book and adds what is wrong to problems. It always gives a Program; where Sound is false no order should be run.
func Check(files *diag.Files, parsed []*lang.File, problems *diag.List) *Program {
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
		trees:    trees{recipes: map[*Recipe]*lang.RecipeDecl{}},
	}
	c.declare(parsed)
	c.checkBodies()
	c.p.Sound = !problems.HasErrors()
	c.checkOrders()
	c.p.Epochs = c.epochs()
	c.p.known = c
	return c.p
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
	days := map[int64]bool{}
	note := func(w Window) {
		if w.HasFrom {
			days[w.From] = true
		}
		if w.HasUntil {
			days[w.Until] = true
		}
	}
	for _, r := range c.p.Rules {
		for _, a := range r.Amends {
			note(a.Window)
		}
	}
	for _, m := range c.p.Materials {
		for _, a := range m.Amends {
			note(a.Window)
		}
	}
	var all []int64
	for d := range days {
		all = append(all, d)
	}
	slices.Sort(all)
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
