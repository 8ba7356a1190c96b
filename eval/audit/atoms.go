package audit

import (
	"strconv"

	"squab/lang"
)

// atom is one thing that may be as it was or as it is: a rule's case, a table's row, a material's field, an order's ask, a line of a recipe, or a
// whole declaration. Old or New is nil where it was put in or taken out.
type atom struct {
	label    string
	group    string // the declaration
	old, new lang.Node
}

// pairing matches the declarations of two books by what they are called, the old book's order first.
type pairing struct {
	keys     []string
	old, new map[string]lang.Decl
	atoms    []atom
	at       map[string][]int // a declaration's atoms
}

// pair finds everything in which two books differ.
func pair(before, after Book) *pairing {
	p := &pairing{old: map[string]lang.Decl{}, new: map[string]lang.Decl{}, at: map[string][]int{}}
	for _, k := range before.keys() {
		p.keys = append(p.keys, k.key)
		p.old[k.key] = k.decl
	}
	for _, k := range after.keys() {
		if p.old[k.key] == nil {
			p.keys = append(p.keys, k.key)
		}
		p.new[k.key] = k.decl
	}
	for _, key := range p.keys {
		p.compare(key)
	}
	return p
}

func (p *pairing) add(a atom) {
	p.at[a.group] = append(p.at[a.group], len(p.atoms))
	p.atoms = append(p.atoms, a)
}

// compare finds in what a declaration differs.
func (p *pairing) compare(key string) {
	old, new := p.old[key], p.new[key]
	if _, isProof := old.(*lang.ProofDecl); isProof {
		return
	}
	if _, isProof := new.(*lang.ProofDecl); isProof {
		return
	}
	if old == nil || new == nil {
		p.add(atom{label: key, group: key, old: node(old), new: node(new)})
		return
	}
	if shape(old) == shape(new) {
		return
	}
	before, after, ok := splitBoth(old, new)
	if !ok {
		p.add(atom{label: key, group: key, old: old, new: new})
		return
	}
	p.members(key, before, after)
}

// node keeps a nil declaration nil.
func node(d lang.Decl) lang.Node {
	if d == nil {
		return nil
	}
	return d
}

// member is a named part of a declaration.
type member struct {
	key  string
	node lang.Node
}

// members compares the parts of a declaration one by one.
func (p *pairing) members(group string, before, after []member) {
	old := map[string]lang.Node{}
	for _, m := range before {
		old[m.key] = m.node
	}
	seen := map[string]bool{}
	for _, m := range after {
		seen[m.key] = true
		was := old[m.key]
		if was == nil || shape(was) != shape(m.node) {
			p.add(atom{label: group + ", " + m.key, group: group, old: was, new: m.node})
		}
	}
	for _, m := range before {
		if !seen[m.key] {
			p.add(atom{label: group + ", " + m.key, group: group, old: m.node})
		}
	}
}

// splitBoth takes two versions of a declaration apart, if they can be put together again from parts of both.
func splitBoth(old, new lang.Decl) (before, after []member, ok bool) {
	switch o := old.(type) {
	case *lang.RuleDecl:
		n := new.(*lang.RuleDecl)
		if shape(o.Params) != shape(n.Params) || shape(o.Kind) != shape(n.Kind) {
			return nil, nil, false
		}
		return splitBodies(o.Body, n.Body)
	case *lang.AmendDecl:
		n := new.(*lang.AmendDecl)
		if shape(o.Params) != shape(n.Params) || shape(o.Window) != shape(n.Window) {
			return nil, nil, false
		}
		return splitBodies(o.Body, n.Body)
	case *lang.TableDecl:
		return splitTables(o, new.(*lang.TableDecl))
	case *lang.MaterialDecl:
		n := new.(*lang.MaterialDecl)
		return cellMembers(o.Cells), cellMembers(n.Cells), o.Kind.Text == n.Kind.Text && shape(o.Window) == shape(n.Window)
	case *lang.RecipeDecl:
		return stmtMembers(o.Stmts), stmtMembers(new.(*lang.RecipeDecl).Stmts), true
	case *lang.PriceDecl:
		return stmtMembers(o.Stmts), stmtMembers(new.(*lang.PriceDecl).Stmts), true
	case *lang.OrderDecl:
		n := new.(*lang.OrderDecl)
		return stmtMembers(o.Stmts), stmtMembers(n.Stmts), shape(o.Make) == shape(n.Make)
	}
	return nil, nil, false
}

// splitBodies takes rules apart into cases, where both ask the same conditions in the same order.
func splitBodies(o, n *lang.Body) (before, after []member, ok bool) {
	if o == nil || n == nil || o.Formula != nil || n.Formula != nil || len(o.Cases) != len(n.Cases) || shape(o.Locals) != shape(n.Locals) {
		return nil, nil, false
	}
	for i := range o.Cases {
		if shape(o.Cases[i].When) != shape(n.Cases[i].When) {
			return nil, nil, false
		}
	}
	return numbered("case", o.Cases), numbered("case", n.Cases), true
}

// splitTables takes tables apart into rows, where both ask the same tests in the same order.
func splitTables(o, n *lang.TableDecl) (before, after []member, ok bool) {
	if shape(o.Params) != shape(n.Params) || shape(o.Kind) != shape(n.Kind) || o.Hit.Text != n.Hit.Text || shape(o.Heading) != shape(n.Heading) || len(o.Rows) != len(n.Rows) || shape(o.Window) != shape(n.Window) {
		return nil, nil, false
	}
	for i := range o.Rows {
		if shape(o.Rows[i].Tests) != shape(n.Rows[i].Tests) {
			return nil, nil, false
		}
	}
	return numbered("row", o.Rows), numbered("row", n.Rows), true
}

// numbered names parts by their places, from 1.
func numbered[N lang.Node](sort string, nodes []N) []member {
	all := make([]member, len(nodes))
	for i, n := range nodes {
		all[i] = member{sort + " " + strconv.Itoa(i+1), n}
	}
	return all
}

func cellMembers(cells []*lang.Cell) []member {
	var all []member
	for _, c := range cells {
		all = append(all, member{c.Name.Text, c})
	}
	return all
}

// stmtMembers names the lines of a recipe or order; lines without a name are numbered by their sort.
func stmtMembers(stmts []lang.Stmt) []member {
	counts := map[string]int{}
	var all []member
	for _, s := range stmts {
		key := stmtKey(s)
		counts[key]++
		if n := counts[key]; n > 1 {
			key += " " + strconv.Itoa(n)
		}
		all = append(all, member{key, s})
	}
	return all
}

func stmtKey(s lang.Stmt) string {
	switch s := s.(type) {
	case *lang.Cell:
		return s.Name.Text
	case *lang.Ask:
		return "ask " + s.Name.Text
	case *lang.Piece:
		return "piece " + s.Name.Text
	case *lang.Marks:
		return "marks " + s.Name.Text
	case *lang.Work:
		return "work " + s.Name.Text
	case *lang.Charge:
		return "charge " + s.Name.Text
	case *lang.Part:
		return "part " + s.Name.Text
	case *lang.AmendDecl:
		return "amendment of " + s.Name.Text
	case *lang.Need:
		return "need"
	case *lang.Use:
		return "use"
	case *lang.Step:
		return "step"
	case *lang.Cautions:
		return "caution"
	}
	return "line"
}
