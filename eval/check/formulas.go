package check

// Formulas lists what a kind's fields are worked out from: their ranges and their defaults.
func (k *Kind) Formulas() []Expr { return formulasOf(k.Fields) }

// Formulas lists what a material's fields are worked out from: what it gives itself and every amendment, in force or not. Its kind's defaults are not here.
func (m *Material) Formulas() []Expr {
	all := formulasOf(m.Given)
	for _, a := range m.Amends {
		all = append(all, a.Cell.Expr)
	}
	return all
}

// Formulas lists what a rule is worked out from: its parameters' ranges and defaults, and the cells and cases of its bodies, in force or not.
func (r *Rule) Formulas() []Expr {
	all := formulasOf(r.Params)
	for _, b := range r.Bodies() {
		all = append(all, formulasOf(b.Locals)...)
		for _, k := range b.Cases {
			all = append(all, k.When, k.Value)
		}
	}
	return all
}

// Formulas lists what a recipe's own cells are worked out from, their ranges, and what it gives its parts; not what stands in the parts.
func (r *Recipe) Formulas() []Expr {
	all := formulasOf(r.Cells)
	for _, part := range r.Parts {
		all = append(append(all, part.Off), givenTo(part.Recipe, part.Given)...)
	}
	return all
}

// Formulas lists what an order or a proof gives its recipe's asks, and what it expects. Its amendments stand with the rules.
func (o *Order) Formulas() []Expr {
	all := append([]Expr{o.Off}, givenTo(o.Recipe, o.Given)...)
	for _, x := range o.Expects {
		all = append(all, x.Left, x.Want)
	}
	return all
}

// givenTo lists the formulas that are given for a recipe's asks, in the order of the asks.
func givenTo(r *Recipe, given map[int]*Cell) []Expr {
	if r == nil {
		return nil
	}
	var all []Expr
	for _, ask := range r.Asks {
		if cell := given[ask.Index]; cell != nil {
			all = append(all, cell.Expr)
		}
	}
	return all
}

func formulasOf(cells []*Cell) []Expr {
	var all []Expr
	for _, c := range cells {
		if c != nil {
			all = append(all, c.Expr, c.From, c.To)
		}
	}
	return all
}
