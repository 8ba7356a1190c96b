package check

import (
	"strings"

	"squab/eval/quantity"
)

// example writes one value for each term that a box speaks of.
func (t *terms) example(b box) string {
	var parts []string
	for i := range b {
		if b[i] != nil {
			parts = append(parts, t.termText(t.sample[i], b[i].sample()))
		}
	}
	return strings.Join(parts, ", ")
}

func (t *terms) termText(e Expr, n quantity.Number) string {
	if d, ok := e.(*difference); ok {
		return t.c.written(d.X) + [...]string{" < ", " = ", " > "}[sign(n)+1] + t.c.written(d.Y)
	}
	name := t.c.written(e)
	switch e.Type().Base {
	case YesNo:
		return t.yesNoText(e, name, sign(n) > 0)
	case Text:
		return name + " = " + t.textAt(n)
	}
	return name + " = " + t.c.shown(n, e.Type())
}

func sign(n quantity.Number) int { s, _ := n.Sign(); return s }

// yesNoText writes a yes/no cell with its value, and a condition that is no cell as it stands.
func (t *terms) yesNoText(e Expr, name string, yes bool) string {
	_, isCondition := e.(*Binary)
	switch {
	case isCondition && yes:
		return name
	case isCondition:
		return "not (" + name + ")"
	case yes:
		return name + " = yes"
	}
	return name + " = no"
}

// textAt gives the text that a number stands for.
func (t *terms) textAt(n quantity.Number) string {
	for _, s := range sortedKeys(t.texts) {
		if quantity.Int(t.texts[s]).Equal(n) {
			return `"` + s + `"`
		}
	}
	return "some other text"
}

// shown writes a value as the shop's page shows it.
func (c *checker) shown(n quantity.Number, t Type) string {
	i, isWhole := n.Int64()
	switch {
	case t.Base == ChoiceWord && isWhole && i >= 0 && int(i) < len(t.Choice.Words):
		return t.Choice.Words[i]
	case t.Base == OfMaterial && isWhole && i >= 0 && int(i) < len(c.p.Materials):
		return c.p.Materials[i].Name
	case t.Base == OfMaterial:
		return "any " + t.Kind.Name
	case t.Base == Date && isWhole:
		return DateText(i)
	}
	return c.p.Style.Show(n, t.ShownDim()).Text
}

// written gives a formula as it is written, or a cell's name where it is not written out.
func (c *checker) written(e Expr) string {
	switch x := e.(type) {
	case *CellRef:
		return x.Cell.Name
	case *FieldOf:
		return c.written(x.X) + "." + x.Field.Name
	case *Binary:
		return c.operand(x.X) + " " + string(x.Op) + " " + c.operand(x.Y)
	}
	return c.p.Files.Text(e.Span())
}

// operand sets an operation within another in brackets.
func (c *checker) operand(e Expr) string {
	if _, nested := e.(*Binary); nested {
		return "(" + c.written(e) + ")"
	}
	return c.written(e)
}

// ShownDim is the dimension under which a value of the kind is shown: a count may stand as a plain number.
func (t Type) ShownDim() quantity.Dimension {
	d := t.Dim
	if d.Count <= 0 && d.Count+t.Slack >= 0 {
		d.Count = 0
	}
	return d
}
