package plain

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"squab/lang/diag"
)

// jsonFile is a file of JSON that has been read whole. It remembers the place that it told last, since places are mostly asked for in their order.
type jsonFile struct {
	name, text       string
	at, line, column int
}

// place is the line and column of a byte.
func (f *jsonFile) place(at int) diag.Place {
	at = min(at, len(f.text))
	if at < f.at {
		f.at, f.line, f.column = 0, 0, 0
	}
	between := f.text[f.at:at]
	if ends := strings.Count(between, "\n"); ends > 0 {
		f.line, f.column = f.line+ends, 0
		between = between[strings.LastIndexByte(between, '\n')+1:]
	}
	f.at, f.column = at, f.column+utf8.RuneCountInString(between)
	return diag.Place{File: f.name, Line: f.line + 1, Column: f.column + 1}
}

// wrong is a problem with what begins at a byte.
func (f *jsonFile) wrong(at int, format string, args ...any) diag.Diagnostic {
	return diag.Diagnostic{Code: "json-malformed", Message: fmt.Sprintf(format, args...), Place: f.place(at)}
}

// placed puts problems of items, each of which was read as a line of its own, where the items stand in the file.
func (f *jsonFile) placed(items []value, problems []diag.Diagnostic) []diag.Diagnostic {
	for i, d := range problems {
		if d.At.IsZero() && d.Place.Line > 0 {
			item := items[d.Place.Line-1]
			problems[i].Place = f.place(item.at + byteOfColumn(item.raw, d.Place.Column))
		}
	}
	return problems
}

func byteOfColumn(text []byte, column int) int {
	at := 0
	for n := 1; n < column && at < len(text); n++ {
		_, size := utf8.DecodeRune(text[at:])
		at += size
	}
	return at
}

// malformed tells what keeps a text from being JSON; nothing where it is.
func (f *jsonFile) malformed() []diag.Diagnostic {
	var raw json.RawMessage
	var syntax *json.SyntaxError
	err := json.Unmarshal([]byte(f.text), &raw)
	switch {
	case err == nil:
		return nil
	case err.Error() == "unexpected end of JSON input":
		return []diag.Diagnostic{f.wrong(len(f.text), "the JSON ends too soon")}
	case errors.As(err, &syntax):
		return []diag.Diagnostic{f.wrong(int(syntax.Offset)-1, "this is not JSON: %s", err)}
	}
	return []diag.Diagnostic{f.wrong(0, "this is not JSON: %s", err)}
}

// value is a JSON value, and the byte of its file at which it begins. The zero value is none.
type value struct {
	raw json.RawMessage
	at  int
}

// end is the byte after the value.
func (v value) end() int { return v.at + len(v.raw) }

// next reads the next value of a text that begins at a byte of the file.
func next(in *json.Decoder, from int) (value, error) {
	var raw json.RawMessage
	err := in.Decode(&raw)
	return value{raw, from + int(in.InputOffset()) - len(raw)}, err
}

// items takes a list apart; null is a list of nothing.
func (v value) items() ([]value, error) {
	if string(v.raw) == "null" {
		return nil, nil
	}
	in := json.NewDecoder(bytes.NewReader(v.raw))
	if t, err := in.Token(); err != nil || t != json.Delim('[') {
		return nil, errors.New("a list, in brackets, belongs here")
	}
	var all []value
	for in.More() {
		item, err := next(in, v.at)
		if err != nil {
			return nil, err
		}
		all = append(all, item)
	}
	return all, nil
}

// object is a JSON object: its members in order.
type object struct {
	members []member
	byKey   map[string]int
}

// member is a key and its value; from is where it begins, with the comma before it.
type member struct {
	key   string
	value value
	from  int
}

// get gives the value of a key; the zero value where there is none.
func (o *object) get(key string) value {
	if i, ok := o.byKey[key]; ok {
		return o.members[i].value
	}
	return value{}
}

func (o *object) has(key string) bool {
	_, ok := o.byKey[key]
	return ok
}

var errNoObject = errors.New("an object, in braces, belongs here")

// twice is a key that an object gives more than once.
type twice struct {
	key string
	at  int
}

func (t twice) Error() string { return fmt.Sprintf("%.40q is given twice", t.key) }

// readObject reads one object, and nothing of what follows it, of a text that begins at a byte of the file. The error is that it is none, that its JSON
// is broken, or twice; what was read is given all the same, with the key whose value is broken.
func readObject(in *json.Decoder, from int) (*object, error) {
	o := &object{byKey: map[string]int{}}
	if t, err := in.Token(); err != nil || t != json.Delim('{') {
		return o, errNoObject
	}
	for in.More() {
		m := member{from: from + int(in.InputOffset())}
		t, err := in.Token()
		if err != nil {
			return o, err
		}
		m.key, _ = t.(string)
		m.value, err = next(in, from)
		if o.has(m.key) {
			return o, twice{m.key, m.value.at}
		}
		o.byKey[m.key] = len(o.members)
		if o.members = append(o.members, m); err != nil {
			return o, err
		}
	}
	_, err := in.Token()
	return o, err
}

// object reads an object again.
func (v value) object() (*object, error) {
	return readObject(json.NewDecoder(bytes.NewReader(v.raw)), v.at)
}

// without is an object's text with blanks where some of its members stood.
func (v value) without(o *object, keys ...string) value {
	left := bytes.Repeat([]byte(" "), len(v.raw))
	left[0], left[len(left)-1] = '{', '}'
	first := true
	for i, m := range o.members {
		if slices.Contains(keys, m.key) {
			continue
		}
		part := left[m.from-v.at : m.value.end()-v.at]
		copy(part, v.raw[m.from-v.at:])
		if first && i > 0 {
			part[bytes.IndexByte(part, ',')] = ' '
		}
		first = false
	}
	return value{left, v.at}
}
