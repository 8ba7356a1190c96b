package orders

import (
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"squab/eval/check"
)

// JSONLines reads one JSON object a line, with the keys that CSV has columns for. A string is a literal of the language; a number is that
// plain number, exactly; true and false are yes and no; null leaves an ask to its default. Lines of nothing are no rows.
func JSONLines(in io.Reader, name string, p *check.Program, recipe *check.Recipe) *Reader {
	r := newReader(in, name, p, recipe)
	r.next = (&jsonReader{Reader: r}).row
	return r
}

type jsonReader struct {
	*Reader
	keys []jsonKey // of the line before
}

func (j *jsonReader) row() (Row, bool) {
	l, ok := j.lines.nextFilled()
	if !ok {
		return Row{}, false
	}
	switch {
	case l.tooLong:
		return j.refused(l.number, "", 0, "row-malformed", "the row is longer than 1 MiB"), true
	case !utf8.ValidString(l.text):
		return j.refused(l.number, "", 0, "row-malformed", "the row is not UTF-8 text"), true
	}
	given, ok := j.quickFields(l.text)
	if !ok {
		var wrong string
		var at int
		if given, wrong, at = j.fields(l.text); wrong != "" {
			return j.refused(l.number, l.text, at, "row-malformed", wrong), true
		}
	}
	for _, f := range given {
		if f.column.use == useNothing {
			j.unknown(f.column, l.number, Row{record: l.text, Line: l.number}.placeAt(f.offset).Column)
		}
	}
	return j.order(l.number, l.text, given), true
}

// fields reads the object of any line, and says what is wrong with it and where.
func (j *jsonReader) fields(text string) (given []field, wrong string, at int) {
	o := object{text: text, in: json.NewDecoder(strings.NewReader(text))}
	o.in.UseNumber()
	given, err := o.fields(j)
	if err != nil {
		return nil, err.Error(), int(o.in.InputOffset())
	}
	return given, "", 0
}

// object reads the one object of a line, key by key.
type object struct {
	text string
	in   *json.Decoder
}

func (o *object) fields(j *jsonReader) ([]field, error) {
	if t, err := o.token(); err != nil || t != json.Delim('{') {
		return nil, firstOf(err, errors.New("each line is one JSON object, in braces"))
	}
	var all []field
	seen := map[string]bool{}
	for o.in.More() {
		f, err := o.field(j, seen)
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	if _, err := o.token(); err != nil {
		return nil, err
	}
	if _, err := o.in.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the object on its line")
	}
	return all, nil
}

func (o *object) field(j *jsonReader, seen map[string]bool) (field, error) {
	t, err := o.token()
	if err != nil {
		return field{}, err
	}
	name, _ := t.(string)
	f := field{column: j.values.column(name)}
	if seen[f.column.name] {
		return f, errors.New(clip(name) + " is given twice")
	}
	seen[f.column.name] = true
	f.offset = o.valueStart()
	f.text, err = o.value()
	return f, err
}

// valueStart is where the value behind the key begins.
func (o *object) valueStart() int {
	at := int(o.in.InputOffset())
	for at < len(o.text) && strings.IndexByte(" \t:", o.text[at]) >= 0 {
		at++
	}
	return at
}

// token reads on, and words what the decoder finds wrong.
func (o *object) token() (json.Token, error) {
	t, err := o.in.Token()
	switch {
	case err == nil:
		return t, nil
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return nil, errors.New("the line ends inside its object")
	}
	return nil, errors.New("this is not JSON: " + err.Error())
}

// value reads a value as the language would write it.
func (o *object) value() (string, error) {
	t, err := o.token()
	if err != nil {
		return "", err
	}
	switch t := t.(type) {
	case string:
		return t, nil
	case bool:
		if t {
			return "yes", nil
		}
		return "no", nil
	case json.Number:
		return decimal(string(t))
	case nil:
		return "", nil
	}
	return "", errors.New("a value is a string, a number, true, false or null")
}

// maxPlaces is how far an exponent may move a number's point; the language's own limit on digits is the same.
const maxPlaces = 1000

// decimal writes a JSON number without an exponent, digit for digit.
func decimal(n string) (string, error) {
	at := strings.IndexAny(n, "eE")
	if at < 0 {
		return n, nil
	}
	places, err := strconv.Atoi(n[at+1:])
	if err != nil || places > maxPlaces || places < -maxPlaces {
		return "", errors.New("the exponent of " + clip(n) + " is too large")
	}
	sign, digits := "", n[:at]
	if strings.HasPrefix(digits, "-") {
		sign, digits = "-", digits[1:]
	}
	whole, part, _ := strings.Cut(digits, ".")
	return sign + shift(whole, part, places), nil
}

// shift moves the point between two runs of digits.
func shift(whole, part string, places int) string {
	if places >= 0 {
		part += strings.Repeat("0", max(0, places-len(part)))
		return unpad(whole+part[:places]) + pointed(part[places:])
	}
	whole = strings.Repeat("0", max(0, 1-places-len(whole))) + whole
	cut := len(whole) + places
	return unpad(whole[:cut]) + pointed(whole[cut:]+part)
}

// unpad takes the zeros before a whole number away.
func unpad(digits string) string {
	if trimmed := strings.TrimLeft(digits, "0"); trimmed != "" {
		return trimmed
	}
	return "0"
}

func pointed(digits string) string {
	if digits == "" {
		return ""
	}
	return "." + digits
}

func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

func plural(n int, what string) string {
	s := strconv.Itoa(n) + " " + what
	if n != 1 {
		s += "s"
	}
	return s
}
