package orders

import "strings"

// quickFields reads the object of a line where it is plain: texts without escapes, whole numbers and decimals, true, false and null. It is false
// for any other line, right or wrong, which the decoder of encoding/json then reads.
func (j *jsonReader) quickFields(text string) ([]field, bool) {
	q := quick{text: text}
	all := make([]field, 0, len(j.keys))
	if !q.sign('{') {
		return nil, false
	}
	for more := !q.sign('}'); more; {
		f, ok := j.quickField(&q, len(all))
		if !ok || given(all, f.column) {
			return nil, false
		}
		all = append(all, f)
		if more = q.sign(','); !more && !q.sign('}') {
			return nil, false
		}
	}
	q.blanks()
	return all, q.at == len(text)
}

// given reports whether a column has a value already.
func given(all []field, c *column) bool {
	for i := range all {
		if all[i].column == c || all[i].column.name == c.name {
			return true
		}
	}
	return false
}

func (j *jsonReader) quickField(q *quick, i int) (f field, ok bool) {
	key, ok := q.string()
	if !ok || !q.sign(':') {
		return f, false
	}
	q.blanks()
	f.column, f.offset = j.columnOf(key, i), q.at
	f.text, ok = q.value()
	return f, ok
}

// columnOf finds the column of a line's i-th key: that of the line before, where lines are alike.
func (j *jsonReader) columnOf(key string, i int) *column {
	if i < len(j.keys) && j.keys[i].name == key {
		return j.keys[i].column
	}
	c := j.values.column(key)
	if i == len(j.keys) && i < maxRecent {
		j.keys = append(j.keys, jsonKey{})
	}
	if i < len(j.keys) {
		j.keys[i] = jsonKey{strings.Clone(key), c}
	}
	return c
}

// jsonKey is a key with the column that it stands for.
type jsonKey struct {
	name   string
	column *column
}

// quick reads a line of JSON (RFC 8259) as far as it is plain.
type quick struct {
	text string
	at   int
}

func (q *quick) blanks() {
	for q.at < len(q.text) && (q.text[q.at] == ' ' || q.text[q.at] == '\t') {
		q.at++
	}
}

// sign takes a sign that comes next, with the blanks before it.
func (q *quick) sign(c byte) bool {
	q.blanks()
	if q.at == len(q.text) || q.text[q.at] != c {
		return false
	}
	q.at++
	return true
}

// string takes a text without escapes or control characters.
func (q *quick) string() (string, bool) {
	if !q.sign('"') {
		return "", false
	}
	for from := q.at; q.at < len(q.text); q.at++ {
		switch c := q.text[q.at]; {
		case c == '"':
			q.at++
			return q.text[from : q.at-1], true
		case c < ' ' || c == '\\':
			return "", false
		}
	}
	return "", false
}

// value takes a value, and gives it as the language would write it.
func (q *quick) value() (string, bool) {
	switch {
	case q.at == len(q.text):
		return "", false
	case q.text[q.at] == '"':
		return q.string()
	case q.word("true"):
		return "yes", true
	case q.word("false"):
		return "no", true
	case q.word("null"):
		return "", true
	}
	return q.number()
}

func (q *quick) word(w string) bool {
	if !strings.HasPrefix(q.text[q.at:], w) {
		return false
	}
	q.at += len(w)
	return true
}

// number takes a number without an exponent.
func (q *quick) number() (string, bool) {
	from := q.at
	if q.text[q.at] == '-' {
		q.at++
	}
	whole := q.digits()
	if whole == 0 || whole > 1 && q.text[q.at-whole] == '0' {
		return "", false
	}
	if q.at < len(q.text) && q.text[q.at] == '.' {
		q.at++
		if q.digits() == 0 {
			return "", false
		}
	}
	return q.text[from:q.at], true
}

func (q *quick) digits() (n int) {
	for q.at < len(q.text) && '0' <= q.text[q.at] && q.text[q.at] <= '9' {
		q.at++
		n++
	}
	return n
}
