package check

import (
	"squab/eval/quantity"
	"squab/lang/diag"
)

// proveRules proves that rules and tables are complete, that every case can be reached, and that amendments on one level are apart.
func (c *checker) proveRules() {
	for _, r := range c.p.Rules {
		if r.Base != nil {
			c.proveBody(r, r.Base, true)
		}
		for _, a := range r.Amends {
			c.proveBody(r, a.Body, false)
		}
		c.proveApart(r)
	}
}

// coverage is a proof under way: what no case has taken yet.
type coverage struct {
	terms *terms
	left  []box
	gone  bool // given up
}

func (c *checker) proveBody(r *Rule, b *Body, complete bool) {
	if hasBad(b) {
		return
	}
	if b.Hit == Interpolated {
		c.proveInterpolated(r, b, complete)
		return
	}
	cov := &coverage{terms: newTerms(), left: []box{{}}}
	cov.useParams(r, b)
	regions := make([][]box, len(b.Cases))
	for i, k := range b.Cases {
		boxes, ok := cov.terms.regions(k.When, true)
		if !ok {
			c.tooMuch(r, k.At)
			return
		}
		regions[i] = boxes
	}
	for i, k := range b.Cases {
		c.take(r, b, cov, k, regions[i])
	}
	if b.Hit == Unique {
		c.proveUnique(r, b, cov.terms, regions)
	}
	if complete && !cov.gone && len(cov.left) > 0 {
		c.gap(r, b, cov)
	}
}

// useParams makes a table's parameters terms, so that a gap's example names each of them.
func (cov *coverage) useParams(r *Rule, b *Body) {
	if !r.IsTable {
		return
	}
	full := box{}
	for _, p := range r.Params {
		if !ordered(p.Type) {
			continue
		}
		key := cov.terms.term(&CellRef{base{p.At, p.Type}, p, nil, InRule})
		full[key] = cov.terms.domain[key]
	}
	cov.left = []box{full}
}

func (c *checker) tooMuch(r *Rule, at diag.Span) {
	c.fail("proof-too-large", at, "the conditions of %s are too many to prove complete", r.Name).Fix("split it into smaller rules")
}

// take gives a case its share of what is left, and reports one that gets nothing.
func (c *checker) take(r *Rule, b *Body, cov *coverage, k *Case, boxes []box) {
	if cov.gone {
		return
	}
	reached := false
	for _, want := range boxes {
		for _, have := range cov.left {
			if _, ok := cov.terms.meet(have, want); ok {
				reached = true
			}
		}
	}
	if !reached && k.When != nil {
		c.unreachable(r, b, k)
	}
	for _, want := range boxes {
		if cov.left = cov.terms.carve(cov.left, want); len(cov.left) > most {
			cov.gone = true
			c.tooMuch(r, k.At)
			return
		}
	}
}

func (c *checker) unreachable(r *Rule, b *Body, k *Case) {
	if r.IsTable {
		c.fail("row-unreachable", k.At, "no value reaches this row of %s", r.Name).Fix("take it out, or put it before the row that covers it")
		return
	}
	c.fail("case-unreachable", k.At, "no value reaches this case of %s", r.Name).Fix("take it out, or put it before the case that covers it")
}

func (c *checker) gap(r *Rule, b *Body, cov *coverage) {
	example := c.example(cov.terms, cov.left[0])
	if r.IsTable {
		c.fail("table-gap", r.At, "no row of %s takes %s", r.Name, example).Note(b.Cases[len(b.Cases)-1].At, "the last row").Fix("add a row for it")
		return
	}
	if example == "" {
		example = "every value"
	}
	c.fail("case-gap", r.At, "no case of %s takes %s", r.Name, example).Note(b.Cases[len(b.Cases)-1].At, "the last case").Fix("end with: … otherwise")
}

func (c *checker) proveUnique(r *Rule, b *Body, t *terms, regions [][]box) {
	for i := range regions {
		for j := range i {
			if both, ok := firstMeet(t, regions[i], regions[j]); ok {
				c.fail("row-overlap", b.Cases[i].At, "two rows of %s take %s", r.Name, c.example(t, both)).
					Note(b.Cases[j].At, "the other row").Fix("make the rows apart, or leave out unique: then the first row wins")
			}
		}
	}
}

func firstMeet(t *terms, xs, ys []box) (box, bool) {
	for _, x := range xs {
		for _, y := range ys {
			if both, ok := t.meet(x, y); ok {
				return both, true
			}
		}
	}
	return nil, false
}

// band is the rows of an interpolated table that share their other tests.
type band struct {
	cond   Expr
	region []box
	lo, hi quantity.Number
	rows   []*Case
}

// proveInterpolated proves that each stretch between the outermost rows of a band is taken once, and the whole axis if it must be complete.
func (c *checker) proveInterpolated(r *Rule, b *Body, complete bool) {
	cov := &coverage{terms: newTerms(), left: []box{{}}}
	cov.useParams(r, b)
	axis := cov.terms.term(&CellRef{base{r.Params[b.Axis].At, r.Params[b.Axis].Type}, r.Params[b.Axis], nil, InRule})
	bands, ok := c.bands(r, b, cov.terms)
	if !ok {
		return
	}
	for i, x := range bands {
		for _, y := range bands[:i] {
			if both, meets := firstMeet(cov.terms, x.region, y.region); meets {
				c.fail("row-overlap", x.rows[0].At, "rows of two bands of %s take %s", r.Name, c.example(cov.terms, both)).Note(y.rows[0].At, "the other band").Fix("give every row of an interpolated table the same tests, or tests that are apart")
			}
		}
		for _, want := range x.region {
			want[axis] = between(false, edge{at: x.lo}, edge{at: x.hi})
			cov.left = cov.terms.carve(cov.left, want)
		}
	}
	if complete && len(cov.left) > 0 {
		c.gap(r, b, cov)
	}
}

// bands groups rows by their other tests, and reports two rows at one place.
func (c *checker) bands(r *Rule, b *Body, t *terms) ([]*band, bool) {
	var all []*band
	byCond := map[string]*band{}
	for _, k := range b.Cases {
		key := ""
		if k.When != nil {
			key = form(k.When)
		}
		x := byCond[key]
		if x == nil {
			region, ok := t.regions(k.When, true)
			if !ok {
				c.tooMuch(r, k.At)
				return nil, false
			}
			x = &band{cond: k.When, region: region, lo: k.Knot, hi: k.Knot}
			byCond[key] = x
			all = append(all, x)
		}
		for _, other := range x.rows {
			if other.Knot.Equal(k.Knot) {
				c.unreachable(r, b, k)
			}
		}
		x.rows = append(x.rows, k)
		x.lo, _ = quantity.Min(x.lo, k.Knot)
		x.hi, _ = quantity.Max(x.hi, k.Knot)
	}
	return all, true
}

// proveApart reports amendments on one level that can both apply, with an example.
func (c *checker) proveApart(r *Rule) {
	for i, a := range r.Amends {
		for _, b := range r.Amends[:i] {
			if a.rivals(b.Window) {
				c.clash(r, a, b)
			}
		}
	}
}

func (c *checker) clash(r *Rule, a, b *Amendment) {
	t := newTerms()
	for _, x := range a.Body.Cases {
		for _, y := range b.Body.Cases {
			xs, ok := t.regions(x.When, true)
			ys, ok2 := t.regions(y.When, true)
			both, meets := firstMeet(t, xs, ys)
			if ok && ok2 && !meets {
				continue
			}
			example := c.example(t, both)
			if example != "" {
				example = " when " + example
			}
			c.fail("amend-clash", x.At, "two amendments of %s apply equally%s%s", r.Name, example, a.when(b.Window)).
				Note(y.At, "the other is here").Fix("give one a later from, or make their conditions apart")
			return
		}
	}
}

func hasBad(b *Body) bool {
	found := false
	look := func(e Expr) {
		Walk(e, func(e Expr) bool {
			if _, isBad := e.(*Bad); isBad {
				found = true
			}
			return !found
		})
	}
	for _, l := range b.Locals {
		look(l.Expr)
	}
	for _, k := range b.Cases {
		look(k.When)
	}
	return found || len(b.Cases) == 0
}
