package lang

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"squab/lang/diag"
)

// dump writes a part of the tree as an S-expression, without places: (Binary "+" x 2).
func dump(n any) string {
	var b strings.Builder
	dumpValue(&b, reflect.ValueOf(n), 0)
	return b.String()
}

func dumpValue(b *strings.Builder, v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			dumpValue(b, v.Elem(), depth)
		}
	case reflect.Slice:
		b.WriteByte('[')
		for i := range v.Len() {
			dumpSeparator(b, v.Index(i), depth, i > 0)
			dumpValue(b, v.Index(i), depth)
		}
		b.WriteByte(']')
	case reflect.Struct:
		dumpStruct(b, v, depth)
	case reflect.String:
		b.WriteString(strconv.Quote(v.String()))
	default:
		fmt.Fprint(b, v.Interface())
	}
}

func dumpSeparator(b *strings.Builder, v reflect.Value, depth int, blank bool) {
	switch _, joint := v.Interface().(Node); {
	case joint && v.Kind() != reflect.Struct && depth < 3:
		b.WriteString("\n" + strings.Repeat("  ", depth+1))
	case blank:
		b.WriteByte(' ')
	}
}

func dumpStruct(b *strings.Builder, v reflect.Value, depth int) {
	switch x := v.Interface().(type) {
	case Name:
		b.WriteString(x.Text)
		return
	case Quote:
		b.WriteString(strconv.Quote(x.Value))
		return
	case Ident:
		b.WriteString(x.Text)
		return
	}
	b.WriteString("(" + v.Type().Name())
	for i := range v.NumField() {
		field := v.Type().Field(i)
		if field.Type == reflect.TypeFor[diag.Span]() || v.Field(i).IsZero() {
			continue
		}
		b.WriteByte(' ')
		if !strings.Contains(" Name X Y Value Formula Hole Size Points ", " "+field.Name+" ") {
			b.WriteString(field.Name + ":")
		}
		dumpValue(b, v.Field(i), depth+1)
	}
	b.WriteByte(')')
}
