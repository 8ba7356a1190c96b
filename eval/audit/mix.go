package audit

import (
	"strings"

	"squab/lang"
)

// mask says of each atom whether it is as in the new book.
type mask []bool

func (m mask) key() string {
	var b strings.Builder
	for _, on := range m {
		if on {
			b.WriteByte('1')
		} else {
			b.WriteByte('0')
		}
	}
	return b.String()
}

// count is how many atoms are as in the new book.
func (m mask) count() int {
	n := 0
	for _, on := range m {
		if on {
			n++
		}
	}
	return n
}

// mix puts a book together in which each atom is as the mask says.
func (p *pairing) mix(m mask) []lang.Decl {
	var decls []lang.Decl
	for _, key := range p.keys {
		if d := p.mixOne(key, m); d != nil {
			decls = append(decls, d)
		}
	}
	return decls
}

func (p *pairing) mixOne(key string, m mask) lang.Decl {
	old, new := p.old[key], p.new[key]
	atoms := p.at[key]
	switch {
	case len(atoms) == 0 && old != nil:
		return old
	case len(atoms) == 0:
		return new
	case len(atoms) == 1 && p.atoms[atoms[0]].label == key:
		if m[atoms[0]] {
			return new
		}
		return old
	}
	return p.rebuild(key, old, new, m)
}

// choice gives, for the node of one side, the node that the mask says.
type choice struct {
	swap map[lang.Node]lang.Node // from a node of the new declaration to what stands for it; nil leaves it out
	add  []lang.Node             // of the old declaration, not in the new
}

func (p *pairing) choose(key string, m mask) choice {
	c := choice{swap: map[lang.Node]lang.Node{}}
	for _, i := range p.at[key] {
		a := p.atoms[i]
		switch {
		case m[i]:
		case a.new != nil:
			c.swap[a.new] = a.old
		default:
			c.add = append(c.add, a.old)
		}
	}
	return c
}

// rebuild puts a declaration together from parts of both versions.
func (p *pairing) rebuild(key string, old, new lang.Decl, m mask) lang.Decl {
	c := p.choose(key, m)
	switch n := new.(type) {
	case *lang.RuleDecl:
		return changed(n, func(d *lang.RuleDecl) { d.Body = c.body(n.Body) })
	case *lang.AmendDecl:
		return changed(n, func(d *lang.AmendDecl) { d.Body = c.body(n.Body) })
	case *lang.TableDecl:
		return changed(n, func(d *lang.TableDecl) { d.Rows = chosen(c, n.Rows) })
	case *lang.MaterialDecl:
		return changed(n, func(d *lang.MaterialDecl) { d.Cells = chosen(c, n.Cells) })
	case *lang.RecipeDecl:
		return changed(n, func(d *lang.RecipeDecl) { d.Stmts = chosen(c, n.Stmts) })
	case *lang.PriceDecl:
		return changed(n, func(d *lang.PriceDecl) { d.Stmts = chosen(c, n.Stmts) })
	case *lang.OrderDecl:
		return changed(n, func(d *lang.OrderDecl) { d.Stmts = chosen(c, n.Stmts) })
	}
	return old
}

// changed is a declaration like another but for a change.
func changed[D any](d *D, change func(*D)) *D {
	made := *d
	change(&made)
	return &made
}

func (c choice) body(b *lang.Body) *lang.Body {
	return changed(b, func(d *lang.Body) { d.Cases = chosen(c, b.Cases) })
}

// chosen puts the chosen node in place of each, leaves out what is not to be, and adds what is of the old declaration alone.
func chosen[N lang.Node](c choice, nodes []N) []N {
	var all []N
	keep := func(n lang.Node) {
		if kept, ok := n.(N); ok {
			all = append(all, kept)
		}
	}
	for _, n := range nodes {
		if to, swapped := c.swap[n]; swapped {
			keep(to)
			continue
		}
		all = append(all, n)
	}
	for _, n := range c.add {
		keep(n)
	}
	return all
}
