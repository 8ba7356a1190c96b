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
	*terms
	rule *Rule
	body *Body
	left []box
	idle bool // a case asks for what no value is, so that what is left over is no second mistake
}

func (c *checker) proveBody(r *Rule, b *Body, complete bool) {
	if hasBad(b) {
		return
	}
	p := &coverage{terms: newTerms(c), rule: r, body: b, left: []box{{}}}
	p.useParams()
	if b.Hit == Interpolated {
		p.interpolated(complete)
		return
	}
	regions, ok := p.caseRegions()
	if !ok {
		return
	}
	for i, k := range b.Cases {
		if !p.take(k, regions, i) {
			return
		}
	}
	if complete && len(p.left) > 0 && !p.idle {
		p.gap()
	}
}

// useParams makes a table's parameters terms, so that a gap's example names each of them.
func (p *coverage) useParams() {
	if !p.rule.IsTable {
		return
	}
	full := box{}
	for _, param := range p.rule.Params {
		if param.Type.Known() && param.Type.hasTerm() {
			i := p.term(&CellRef{base{param.At, param.Type}, param, nil, InRule})
			full = full.with(i, p.domain[i])
		}
	}
	p.left = []box{full}
}

// hasTerm reports whether values of a kind are told apart by single numbers in a proof.
func (t Type) hasTerm() bool {
	switch t.Base {
	case Quantity, Date, ChoiceWord, YesNo, OfMaterial, Text:
		return true
	}
	return false
}

func (p *coverage) caseRegions() ([][]box, bool) {
	regions := make([][]box, len(p.body.Cases))
	for i, k := range p.body.Cases {
		boxes, ok := p.regions(k.When, true)
		if !ok {
			p.c.tooMuch(p.rule, k.At)
			return nil, false
		}
		regions[i] = boxes
	}
	return regions, true
}

func (c *checker) tooMuch(r *Rule, at diag.Span) {
	c.fail("proof-too-large", at, "the conditions of %s are too many to prove complete", r.Name).Fix("split it into smaller rules")
}

// take gives a case its share of what is left, and reports one that gets nothing, or that wants what a unique table gave before. It is false where the proof is given up.
func (p *coverage) take(k *Case, regions [][]box, i int) bool {
	boxes := regions[i]
	switch {
	case len(boxes) == 0:
		p.idleCase(k)
	case p.body.Hit == Unique:
		if !p.allLeft(boxes) {
			p.overlaps(regions, i)
		}
	case (k.When != nil || p.rule.IsTable) && !p.anyLeft(boxes):
		p.unreachable(regions, i)
	}
	for _, want := range boxes {
		if p.left = p.carve(p.left, want); len(p.left) > mostBoxes || p.spent() {
			p.c.tooMuch(p.rule, k.At)
			return false
		}
	}
	return true
}

func (p *coverage) anyLeft(boxes []box) bool {
	for _, want := range boxes {
		for _, have := range p.left {
			if p.meets(have, want) {
				return true
			}
		}
	}
	return false
}

// allLeft reports whether nothing of boxes was taken before.
func (p *coverage) allLeft(boxes []box) bool {
	for _, want := range boxes {
		rest := []box{want}
		for _, have := range p.left {
			rest = p.carve(rest, have)
		}
		if len(rest) > 0 {
			return false
		}
	}
	return true
}

// overlaps reports a row that wants what rows before it gave, with each of these.
func (p *coverage) overlaps(regions [][]box, i int) {
	var d *diag.Diagnostic
	for j := range regions[:i] {
		both, meets := p.firstMeet(regions[i], regions[j])
		if meets && d == nil {
			d = p.c.fail("row-overlap", p.body.Cases[i].At, "two rows of %s take %s", p.rule.Name, p.example(both)).
				Fix("make the rows apart, or leave out unique: then the first row wins")
		}
		if meets {
			d.Note(p.body.Cases[j].At, "a row before it")
		}
	}
}

// idleCase reports a case that no value at all meets.
func (p *coverage) idleCase(k *Case) {
	p.idle = true
	p.c.fail(p.unreachableCode(), k.At, "nothing can ever meet this %s of %s", p.caseWord(), p.rule.Name).
		Fix("its tests contradict each other, or lie outside the range of what they test: mend them, or take it out")
}

// unreachable reports a case all of whose values are taken before it, with those that take them.
func (p *coverage) unreachable(regions [][]box, i int) {
	d := p.c.fail(p.unreachableCode(), p.body.Cases[i].At, "no value reaches this %s of %s", p.caseWord(), p.rule.Name).
		Fix("take it out, or put it before what covers it")
	for j := range regions[:i] {
		if _, meets := p.firstMeet(regions[i], regions[j]); meets && len(d.Related) < mostShown {
			d.Note(p.body.Cases[j].At, "this comes first")
		}
	}
}

func (p *coverage) unreachableCode() string {
	if p.rule.IsTable {
		return "row-unreachable"
	}
	return "case-unreachable"
}

func (p *coverage) caseWord() string {
	if p.rule.IsTable {
		return "row"
	}
	return "case"
}

func (p *coverage) gap() {
	d := p.reportGap(p.example(p.left[0]))
	for i, s := range p.left[0] {
		if s != nil {
			p.noteAdded(d, p.sample[i].Type(), s.sample())
		}
	}
}

func (p *coverage) reportGap(example string) *diag.Diagnostic {
	if example == "" {
		example = "anything"
	}
	last := p.body.Cases[len(p.body.Cases)-1].At
	if p.rule.IsTable {
		return p.c.fail("table-gap", p.rule.At, "no row of %s takes %s", p.rule.Name, example).Note(last, "the last row").Fix("add a row for it")
	}
	return p.c.fail("case-gap", p.rule.At, "no case of %s takes %s", p.rule.Name, example).Note(last, "the last case").Fix("end with: … otherwise")
}

// noteAdded tells where a word that nothing takes was added to its choice: the rule was whole before.
func (p *coverage) noteAdded(d *diag.Diagnostic, t Type, n quantity.Number) {
	if t.Base != ChoiceWord {
		return
	}
	word := p.c.shown(n, t)
	at, added := t.Choice.added[word]
	if !added {
		return
	}
	d.Note(at, word+" is added here")
	if p.rule.IsTable {
		d.Fix("add a row: amend table " + p.rule.Name + " { … " + word + " | … }")
		return
	}
	d.Fix("add a case: amend " + p.rule.Name + paramList(p.rule) + " { … when … is " + word + " }")
}

func (t *terms) firstMeet(xs, ys []box) (box, bool) {
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
	region []box
	lo, hi quantity.Number
	rows   []*Case
	at     map[string]*Case // by the place on the axis
}

// interpolated proves that the bands of an interpolated table are apart, and that each runs over the whole axis if the table must be complete.
func (p *coverage) interpolated(complete bool) {
	axis := p.term(&CellRef{base{p.rule.At, p.rule.Params[p.body.Axis].Type}, p.rule.Params[p.body.Axis], nil, InRule})
	bands, ok := p.bands()
	if !ok {
		return
	}
	for i, x := range bands {
		p.bandsApart(x, bands[:i])
	}
	for _, x := range bands {
		stretch := between(false, edge{at: x.lo}, edge{at: x.hi})
		for _, want := range x.region {
			p.left = p.carve(p.left, want.with(axis, stretch))
		}
	}
	if complete && len(p.left) > 0 {
		p.gap()
	}
}

func (p *coverage) bandsApart(x *band, before []*band) {
	for _, y := range before {
		if both, meets := p.firstMeet(x.region, y.region); meets {
			p.c.fail("row-overlap", x.rows[0].At, "rows of two bands of %s take %s", p.rule.Name, p.example(both)).
				Note(y.rows[0].At, "the other band").Fix("give every row of an interpolated table the same tests, or tests that are apart")
		}
	}
}

// bands groups rows by their other tests, and reports two rows at one place.
func (p *coverage) bands() ([]*band, bool) {
	var all []*band
	byCond := map[string]*band{}
	for _, k := range p.body.Cases {
		key := p.form(k.When)
		x := byCond[key]
		if x == nil {
			region, ok := p.regions(k.When, true)
			if !ok || len(all) > mostBands {
				p.c.tooMuch(p.rule, k.At)
				return nil, false
			}
			x = &band{region: region, lo: k.Knot, hi: k.Knot, at: map[string]*Case{}}
			byCond[key] = x
			all = append(all, x)
		}
		p.addRow(x, k)
	}
	return all, true
}

// mostBands is how many sets of tests one interpolated table may have.
const mostBands = 1_000

func (p *coverage) addRow(x *band, k *Case) {
	if other := x.at[k.Knot.String()]; other != nil {
		p.c.fail("row-unreachable", k.At, "two rows of %s stand at one value", p.rule.Name).Note(other.At, "the other row").Fix("take one out")
		return
	}
	x.at[k.Knot.String()] = k
	x.rows = append(x.rows, k)
	x.lo, _ = quantity.Min(x.lo, k.Knot)
	x.hi, _ = quantity.Max(x.hi, k.Knot)
}

// level is what amendments that may apply equally have in common.
type level struct {
	layer   diag.Layer
	order   *Order
	from    int64
	hasFrom bool
}

func (w Window) level() level { return level{w.Layer, w.OrderOnly, w.From, w.HasFrom} }

// proveApart reports amendments on one level that can both apply, with an example. Both hold on the day from which they hold: neither has ended by then.
func (c *checker) proveApart(r *Rule) {
	rivals := map[level][]*Amendment{}
	for _, a := range r.Amends {
		if at := a.level(); !a.isEmpty() && !hasBad(a.Body) {
			rivals[at] = append(rivals[at], a)
		}
	}
	for _, a := range r.Amends {
		if all := rivals[a.level()]; len(all) > 1 && all[0] == a {
			c.levelApart(r, all)
		}
	}
}

// claim is where one case of an amendment holds.
type claim struct {
	at     diag.Span
	region []box
}

func (c *checker) levelApart(r *Rule, all []*Amendment) {
	t := newTerms(c)
	var before []claim
	for _, a := range all {
		claims, ok := t.claims(a.Body)
		if !ok {
			c.tooMuch(r, a.Body.At)
			return
		}
		if clash, found := t.firstClash(claims, before); found {
			c.reportClash(r, a.Window, clash.example, clash.one, clash.other)
		}
		before = append(before, claims...)
	}
}

func (t *terms) claims(b *Body) ([]claim, bool) {
	claims := make([]claim, len(b.Cases))
	for i, k := range b.Cases {
		region, ok := t.regions(k.When, true)
		if !ok {
			return nil, false
		}
		claims[i] = claim{k.At, region}
	}
	return claims, true
}

type clash struct {
	one, other diag.Span
	example    string
}

func (t *terms) firstClash(claims, before []claim) (clash, bool) {
	for _, x := range claims {
		for _, y := range before {
			if both, meets := t.firstMeet(x.region, y.region); meets {
				return clash{x.at, y.at, t.example(both)}, true
			}
		}
	}
	return clash{}, false
}

func (c *checker) reportClash(r *Rule, w Window, example string, one, other diag.Span) {
	if example != "" {
		example = " when " + example
	}
	c.fail("amend-clash", one, "two amendments of %s apply equally%s%s", r.Name, example, w.onDay()).
		Note(other, "the other is here").Fix("give one a later from, or make their conditions apart")
}

// hasBad reports whether a problem was found in what decides between the cases.
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
	return found || b.broken || len(b.Cases) == 0
}
