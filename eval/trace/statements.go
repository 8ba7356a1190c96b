package trace

import "squab/eval/check"

// statement is a line of a recipe that a sum of the price counts in, with the cells that the line is worked out from.
type statement struct {
	sum      string      // the price's cell
	task     string      // of work; "" for any other
	material *check.Cell // of what is bought; nil for any other
	fields   []string    // of the material that the line reads
	cells    []*check.Cell
}

// boughtBy are the fields that a line of the buying list reads.
var boughtBy = []string{"price", "sold", "charged"}

// statements lists a recipe's own lines, not those of its parts. laid are the fields that a layout reads of a material.
func statements(r *check.Recipe, laid []string) []statement {
	var all []statement
	laid = append(boughtBy[:len(boughtBy):len(boughtBy)], laid...)
	for _, x := range r.Pieces {
		cells := []*check.Cell{x.Material, x.Wide, x.Deep, x.Count, x.When, x.Turn, x.Match, x.Join, x.Bias, x.Mitre}
		all = append(all, statement{sum: "bought", material: x.Material, fields: laid, cells: cells})
	}
	for _, x := range r.Uses {
		all = append(all, statement{sum: "bought", material: x.Material, fields: boughtBy, cells: []*check.Cell{x.Material, x.Need, x.When}})
	}
	for _, x := range r.Works {
		all = append(all, statement{sum: "worked", task: x.Name, cells: []*check.Cell{x.Time, x.Setup, x.Rate, x.When}})
	}
	for _, x := range r.Charges {
		all = append(all, statement{sum: "extras", cells: []*check.Cell{x.Value, x.When}})
	}
	return all
}

// anyOf reports whether the line, of an instance of the recipe whose slots begin at home, is worked out from a slot that is touched: how many of the
// instance are made counts too.
func (s statement) anyOf(home int, touched func(slot int) bool) bool {
	if touched(home + check.OffIndex) {
		return true
	}
	for _, c := range s.cells {
		if c != nil && touched(home+c.Index) {
			return true
		}
	}
	return false
}
