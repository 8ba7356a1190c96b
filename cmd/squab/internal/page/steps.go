package page

import (
	"squab/eval/check"
)

// stepView is a step, or the cautions that stand at its place. Number is 0 for cautions.
// Again names those whose words stand further up already.
type stepView struct {
	Number   int
	Parts    []textPart
	Cautions []cautionView
	Again    []string
}

// textPart is plain text, or a value in it.
type textPart struct {
	Plain string
	Num   *Num
}

type cautionView struct{ Name, Text string }

// steps lists an order's steps with its numbers in them, and each caution where the recipe puts it.
func steps(r *reasons) []stepView {
	b := stepBuilder{r: r, said: map[string]bool{}}
	for _, in := range r.instances() {
		for _, st := range in.recipe.Steps {
			if r.holds(in, st.When) {
				b.add(in, st)
			}
		}
	}
	return b.all
}

type stepBuilder struct {
	r      *reasons
	all    []stepView
	number int
	said   map[string]bool
}

func (b *stepBuilder) add(in instance, st *check.Step) {
	if st.Text != nil {
		b.number++
		b.all = append(b.all, stepView{Number: b.number, Parts: b.parts(in, st.Text)})
	}
	if len(st.Cautions) > 0 {
		b.cautions(st.Cautions)
	}
}

// cautions adds to the cautions that stand at this place, each in full the first time.
func (b *stepBuilder) cautions(all []*check.Caution) {
	if n := len(b.all); n == 0 || b.all[n-1].Number > 0 {
		b.all = append(b.all, stepView{})
	}
	v := &b.all[len(b.all)-1]
	for _, c := range all {
		if b.said[c.Name] {
			v.Again = append(v.Again, words(c.Name))
			continue
		}
		v.Cautions = append(v.Cautions, cautionView{words(c.Name), b.cautionText(c)})
		b.said[c.Name] = true
	}
}

func (b *stepBuilder) cautionText(c *check.Caution) string {
	for _, have := range b.r.result.Cautions {
		if have.Name == c.Name {
			return have.Text
		}
	}
	return ""
}

// parts takes a step's text apart into plain text and values.
func (b *stepBuilder) parts(in instance, cell *check.Cell) []textPart {
	text, ok := cell.Expr.(*check.TextOf)
	if !ok {
		v, _ := b.r.result.Sheet.Value(in.base + cell.Index)
		return []textPart{{Plain: v.Text()}}
	}
	var all []textPart
	for _, p := range text.Parts {
		if p.Hole == nil {
			all = append(all, textPart{Plain: p.Plain})
			continue
		}
		num := b.r.formula(in, p.Hole)
		all = append(all, textPart{Num: &num})
	}
	return all
}
