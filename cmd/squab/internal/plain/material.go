package plain

import (
	"errors"
	"fmt"

	"squab/eval"
	"squab/eval/check"
	"squab/stdlib"
)

// newMaterial takes in the measures of a material. Those that its form does not have are zero.
func newMaterial(form string, r *record) (*material, error) {
	name := r.text("name")
	if name == "" {
		return nil, errors.New("a material has no name")
	}
	m := &material{name: name, oneWay: r.yes("one_way") || r.yes("grain")}
	m.job = stdlib.LayJob{Material: &check.Material{Name: name}, Form: check.Form(form), Exact: true}
	m.job.Rule = stdlib.CutRule{Kerf: r.num("kerf"), JoinSeam: r.num("join_loss"), Guillotine: r.yes("guillotine"), Stages: r.whole("stages"),
		Nest: r.yes("nest"), Join: r.yes("joins"), Least: stdlib.Extent{Wide: r.num("least_wide"), Deep: r.num("least_deep")}}
	switch form {
	case "roll":
		m.job.Roll = stdlib.Roll{Wide: r.num("wide"), Long: r.num("long"), Gap: r.num("gap"), Repeat: repeatOf(r)}
		return m, nil
	case "sheet":
		m.takeOwnSize(r, "wide")
	case "stick":
		m.job.Rule.Least.Wide = r.num("least_long")
		m.takeOwnSize(r, "long")
	}
	return m, nil
}

// takeOwnSize takes the size in that a material has where it comes in one only.
func (m *material) takeOwnSize(r *record, side string) {
	if long, ok := r.values[side]; ok {
		m.job.Sizes = []stdlib.Size{{Name: m.name, Material: m.job.Material, Wide: long.Num, Deep: r.num("deep")}}
	}
}

func repeatOf(r *record) eval.Repeat {
	return eval.Repeat{Along: r.num("repeat_along"), Across: r.num("repeat_across"), HalfDrop: r.yes("half_drop"),
		First: eval.Point{X: r.num("first_across"), Y: r.num("first_along")}}
}

// check reports a material that its own measures forbid.
func (m *material) check() error {
	if err := m.job.Check(); err != nil {
		return fmt.Errorf("%s: %w", m.name, err)
	}
	return nil
}

// List is one of a material's lists.
type List int

// The lists: sizes of sheets and sticks, and what there is to a roll.
const (
	Sizes List = iota
	Flaws
	Remnants
	Bias
	lists
)

// String is the list's flag, which gives one item.
func (l List) String() string { return [lists]string{"size", "flaw", "remnant", "bias"}[l] }

// key is the list's name in a file.
func (l List) key() string { return [lists]string{"sizes", "flaws", "remnants", "bias"}[l] }

// recipeOf names the recipe that a list's items are read by; nothing where the material has no such list.
func (m *material) recipeOf(l List) string {
	switch {
	case (l == Sizes) == (m.job.Form == check.Roll):
		return ""
	case l == Sizes:
		return string(m.job.Form) + "_size"
	}
	return l.String()
}

func (m *material) take(l List, r *record) {
	roll := &m.job.Roll
	switch l {
	case Sizes:
		m.takeSize(r)
	case Flaws:
		roll.Flaws = append(roll.Flaws, eval.Area{X: r.num("x"), Y: r.num("y"), Wide: r.num("wide"), Deep: r.num("deep")})
	case Remnants:
		roll.Remnants = append(roll.Remnants, stdlib.Extent{Wide: r.num("wide"), Deep: r.num("deep")})
	case Bias:
		m.job.Bias = append(m.job.Bias, stdlib.Bias{Name: r.text("name"), Order: r.order, Wide: r.num("wide"), Long: r.num("long"), Seam: r.num("seam")})
	}
}

func (m *material) takeSize(r *record) {
	s := stdlib.Size{Name: r.text("name"), Wide: r.num("wide"), Deep: r.num("deep"), Price: r.num("price"), Limit: r.whole("only")}
	if m.job.Form == check.Stick {
		s.Wide = r.num("long")
	}
	if s.Name == "" {
		s.Name = m.name
	}
	s.Material = &check.Material{Name: s.Name}
	m.job.Sizes = append(m.job.Sizes, s)
}
