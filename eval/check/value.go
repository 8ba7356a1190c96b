package check

import (
	"strconv"
	"strings"

	"squab/eval/quantity"
)

// Value is what a cell holds. Num is a quantity in base units, a yes/no (1 or 0), a date (days since 1970-01-01) or the place of a choice's word;
// everything else is in Obj. The zero Value is the number 0.
type Value struct {
	Num quantity.Number
	Obj *Object
}

// Object is a value that is no single number: Text for text, Items for a list, for a size (wide, deep) and for a point (x, y), Material for a material,
// Fault for a value that could not be worked out.
type Object struct {
	Text     string
	Items    []Value
	Material *Material
	Fault    error
}

// Num makes a Value of a number.
func Num(n quantity.Number) Value { return Value{Num: n} }

// Bool makes a Value of a yes/no.
func Bool(b bool) Value {
	if b {
		return Value{Num: quantity.Int(1)}
	}
	return Value{}
}

// Yes reports whether a yes/no value is yes.
func (v Value) Yes() bool { s, _ := v.Num.Sign(); return s > 0 }

// TextValue makes a Value of a text.
func TextValue(s string) Value { return Value{Obj: &Object{Text: s}} }

// Text is the text that a text value holds.
func (v Value) Text() string {
	if v.Obj == nil {
		return ""
	}
	return v.Obj.Text
}

// Items is what a list, a size or a point holds.
func (v Value) Items() []Value {
	if v.Obj == nil {
		return nil
	}
	return v.Obj.Items
}

// Item is the i-th of Items, or the zero Value.
func (v Value) Item(i int) Value {
	if items := v.Items(); i < len(items) {
		return items[i]
	}
	return Value{}
}

// Material is the material that a material value is, or nil.
func (v Value) Material() *Material {
	if v.Obj == nil {
		return nil
	}
	return v.Obj.Material
}

// Equal reports whether two values of one kind are the same exactly.
func (v Value) Equal(w Value) bool {
	if !v.Num.Equal(w.Num) || v.Text() != w.Text() || v.Material() != w.Material() || len(v.Items()) != len(w.Items()) {
		return false
	}
	for i, item := range v.Items() {
		if !item.Equal(w.Item(i)) {
			return false
		}
	}
	return true
}

// Key writes a value out: two values of one kind have the same key where they are Equal, and only there, materials of two books going by their names.
func (v Value) Key() string {
	var b strings.Builder
	v.writeKey(&b)
	return b.String()
}

func (v Value) writeKey(b *strings.Builder) {
	if v.Obj == nil {
		writeNumberKey(b, v.Num)
		return
	}
	if m := v.Material(); m != nil {
		b.WriteString(m.Name)
		return
	}
	if len(v.Items()) == 0 {
		b.WriteString(strconv.Quote(v.Text()))
		return
	}
	for _, item := range v.Items() {
		b.WriteByte('[')
		item.writeKey(b)
	}
	b.WriteByte(']')
}

func writeNumberKey(b *strings.Builder, n quantity.Number) {
	if n.Exact() {
		b.WriteString(n.String())
		return
	}
	b.WriteString(n.Rat().RatString() + "~" + n.Within().Rat().RatString())
}
