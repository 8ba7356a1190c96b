// Package audit answers what a change of the rules changes, and which change caused it; what a cell would be if; which value of an ask meets a target;
// and which measurement a cell hangs on most. It works on the trees of a book, puts together books that are part old and part new, and works the
// orders out in each: nothing here reads the text of two files side by side.
package audit

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// Book is the trees of a house, beneath them the trade library's, all of one Files.
type Book struct {
	Files *diag.Files
	Trade []*lang.File
	House []*lang.File
}

// Program checks a book. The problems are those found.
func (b Book) Program() (*check.Program, []diag.Diagnostic) {
	var problems diag.List
	p := check.Check(b.Files, append(append([]*lang.File(nil), b.Trade...), b.House...), &problems)
	return p, problems.All()
}

// decls lists the house's declarations in order.
func (b Book) decls() []lang.Decl {
	var all []lang.Decl
	for _, f := range b.House {
		all = append(all, f.Decls...)
	}
	return all
}

// with makes a book of the same trade and other declarations.
func (b Book) with(decls []lang.Decl) Book {
	b.House = []*lang.File{{Decls: decls}}
	return b
}

// keyed is a declaration with a name that it bears in every version of a book.
type keyed struct {
	key  string
	decl lang.Decl
}

// keys names a book's declarations; the same name twice is numbered.
func (b Book) keys() []keyed {
	seen := map[string]int{}
	var all []keyed
	for _, d := range b.decls() {
		key := b.layered(d) + declKey(d)
		seen[key]++
		if n := seen[key]; n > 1 {
			key += fmt.Sprintf(" (%d)", n)
		}
		all = append(all, keyed{key, d})
	}
	return all
}

// layered says whose a declaration is where it is not the house's, so that none is taken for one of another layer.
func (b Book) layered(d lang.Decl) string {
	src := b.Files.Source(d.Span().Start)
	switch {
	case src == nil || src.Layer == diag.House:
		return ""
	case src.Layer == diag.Trade:
		return "the trade's "
	}
	return src.Name + " "
}

// level gives two books of one trade, or, where they have different ones, the trade's declarations among those that are compared.
func level(before, after Book) (Book, Book) {
	if slices.Equal(before.Trade, after.Trade) {
		return before, after
	}
	return before.flat(), after.flat()
}

func (b Book) flat() Book {
	b.House, b.Trade = append(slices.Clone(b.Trade), b.House...), nil
	return b
}

// declKey says what a declaration is, as a person would name it.
func declKey(d lang.Decl) string {
	switch d := d.(type) {
	case *lang.Shop:
		return "the shop"
	case *lang.UnitDecl:
		return "unit " + d.Name.Text
	case *lang.ChoiceDecl:
		return amended(d.Amend) + "choice " + d.Name.Text
	case *lang.KindDecl:
		return amended(d.Amend) + "kind " + d.Name.Text
	case *lang.MaterialDecl:
		return amended(d.Amend) + "material " + d.Name.Text + windowKey(d.Window)
	case *lang.RuleDecl:
		return "rule " + d.Name.Text
	case *lang.AmendDecl:
		return "amendment of " + d.Name.Text + windowKey(d.Window)
	case *lang.TableDecl:
		return amended(d.Amend) + "table " + d.Name.Text + windowKey(d.Window)
	case *lang.RecipeDecl:
		return "recipe " + d.Name.Text
	case *lang.PriceDecl:
		return "the price"
	case *lang.CautionDecl:
		return "caution " + d.Name.Text
	case *lang.OrderDecl:
		return "order " + d.ID.Text
	case *lang.ProofDecl:
		return "proof " + d.Title.Value
	}
	return "declaration"
}

func amended(amend bool) string {
	if amend {
		return "amendment of "
	}
	return ""
}

func windowKey(w lang.Window) string {
	if w.From == nil {
		return ""
	}
	return fmt.Sprintf(" from %04d-%02d-%02d", w.From.Year, w.From.Month, w.From.Day)
}

// shape writes a tree without places, titles and reasons: two trees of one shape work out alike.
func shape(n any) string {
	var b strings.Builder
	writeShape(&b, reflect.ValueOf(n))
	return b.String()
}

var (
	spanType  = reflect.TypeFor[diag.Span]()
	whyType   = reflect.TypeFor[lang.Why]()
	quoteType = reflect.TypeFor[*lang.Quote]()
)

func writeShape(b *strings.Builder, v reflect.Value) {
	switch v.Kind() {
	case reflect.Invalid:
		b.WriteString("-")
	case reflect.Pointer, reflect.Interface:
		writePointer(b, v)
	case reflect.Slice:
		b.WriteString("[")
		for i := range v.Len() {
			writeShape(b, v.Index(i))
			b.WriteString(" ")
		}
		b.WriteString("]")
	case reflect.Struct:
		writeStruct(b, v)
	default:
		fmt.Fprintf(b, "%v", v.Interface())
	}
}

func writePointer(b *strings.Builder, v reflect.Value) {
	if v.IsNil() {
		b.WriteString("-")
		return
	}
	if paren, ok := v.Interface().(*lang.Paren); ok {
		writeShape(b, reflect.ValueOf(paren.X))
		return
	}
	writeShape(b, v.Elem())
}

func writeStruct(b *strings.Builder, v reflect.Value) {
	t := v.Type()
	b.WriteString(t.Name() + "{")
	for i := range v.NumField() {
		switch f := v.Field(i); f.Type() {
		case spanType, whyType, quoteType:
		default:
			writeShape(b, f)
			b.WriteString(" ")
		}
	}
	b.WriteString("}")
}

// Runner works a book's orders out.
type Runner struct {
	Lay eval.LayFunc
	Day int64 // of orders without a date
	All bool  // work every order out on Day, whatever its own date

	Orders func(*check.Program) []*check.Order // the orders to work out by a program; nil is the program's own
}

func (r Runner) orders(p *check.Program) []*check.Order {
	if r.Orders == nil {
		return p.Orders
	}
	return r.Orders(p)
}

// run works one order of a program out; the result is nil where it cannot be.
func (r Runner) run(e *eval.Engine, o *check.Order) (*eval.Result, []diag.Diagnostic) {
	if o.Bad || o.Recipe == nil {
		return nil, []diag.Diagnostic{{Code: "order-bad", Message: "a problem was found in order " + o.ID, At: o.At}}
	}
	return e.Work(o, r.day(o))
}

func (r Runner) day(o *check.Order) int64 {
	if o.HasDate && !r.All {
		return o.Date
	}
	return r.Day
}
