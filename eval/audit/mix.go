package audit

import (
	"fmt"
	"strings"

	"squab/lang"
)

func ordinal(i int) string { return fmt.Sprint(i + 1) }

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
		case m[i] && a.new != nil, !m[i] && a.new == nil && a.old == nil:
		case !m[i] && a.new != nil:
			c.swap[a.new] = a.old
		case !m[i]:
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
		d := *n
		d.Body = c.body(n.Body)
		return &d
	case *lang.AmendDecl:
		d := *n
		d.Body = c.body(n.Body)
		return &d
	case *lang.TableDecl:
		d := *n
		d.Rows = swapAll(c, n.Rows)
		return &d
	case *lang.MaterialDecl:
		d := *n
		d.Cells = addAll[*lang.Cell](swapAll(c, n.Cells), c)
		return &d
	case *lang.RecipeDecl:
		d := *n
		d.Stmts = addAll[lang.Stmt](swapAll(c, n.Stmts), c)
		return &d
	case *lang.PriceDecl:
		d := *n
		d.Stmts = addAll[lang.Stmt](swapAll(c, n.Stmts), c)
		return &d
	case *lang.OrderDecl:
		d := *n
		d.Stmts = addAll[lang.Stmt](swapAll(c, n.Stmts), c)
		return &d
	}
	return old
}

func (c choice) body(b *lang.Body) *lang.Body {
	d := *b
	d.Cases = swapAll(c, b.Cases)
	return &d
}

// swapAll puts the chosen node in place of each, and leaves out what is not to be.
func swapAll[N lang.Node](c choice, nodes []N) []N {
	var all []N
	for _, n := range nodes {
		to, swapped := c.swap[n]
		if !swapped {
			all = append(all, n)
			continue
		}
		if kept, ok := to.(N); ok {
			all = append(all, kept)
		}
	}
	return all
}

func addAll[N lang.Node](nodes []N, c choice) []N {
	for _, n := range c.add {
		if kept, ok := n.(N); ok {
			nodes = append(nodes, kept)
		}
	}
	return nodes
}
