package orders

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"
)

// plainly is the fields of a line as text.
func plainly(all []field) string {
	var b strings.Builder
	for _, f := range all {
		fmt.Fprintf(&b, "%q at %d: %q\n", f.column.name, f.offset, f.text)
	}
	return b.String()
}

// sameFields holds what is read quickly against encoding/json; it may leave any line to it.
func sameFields(j *jsonReader, line string) (quickly bool, err error) {
	got, quickly := j.quickFields(line)
	if !quickly {
		return false, nil
	}
	want, wrong, _ := j.fields(line)
	if wrong != "" {
		return true, fmt.Errorf("%s is read, but %s", line, wrong)
	}
	if plainly(got) != plainly(want) {
		return true, fmt.Errorf("%s is read as\n%swant\n%s", line, plainly(got), plainly(want))
	}
	return true, nil
}

func newJSONReader(t testing.TB) *jsonReader {
	p, recipe := program(t)
	return &jsonReader{Reader: newReader(strings.NewReader(""), "o.jsonl", p, recipe)}
}

func TestPlainLinesAreReadQuickly(t *testing.T) {
	j := newJSONReader(t)
	for _, line := range []string{
		`{}`, ` { } `, `{"order": 7, "title": "Tea tray", "wide": "20 1/2 in"}`, `{"wide":-0.50,"lined":true,"deep":null,"x":false}`, "{\t\"wide\" :\t1 }", `{"wide":"½ in"}`,
		`{"deep":0,"wide":10}`, `{" wide ":"1 in"}`,
	} {
		quickly, err := sameFields(j, line)
		if err != nil {
			t.Error(err)
		}
		if !quickly {
			t.Errorf("%s was left to the decoder", line)
		}
	}
}

func TestOddLinesAreLeftToTheDecoder(t *testing.T) {
	j := newJSONReader(t)
	for _, line := range []string{
		``, `[]`, `{`, `{"wide"}`, `{"wide":}`, `{"wide":1,}`, `{"wide":1}}`, `{"wide":1} x`, `{"wide":01}`, `{"wide":1.}`, `{"wide":.5}`, `{"wide":-}`, `{"wide":1e3}`, `{"wide":+1}`,
		`{"wide":"a\nb"}`, "{\"wide\":\"a\tb\"}", `{"wide":[1]}`, `{"wide":{}}`, `{"wide":1,"wide":2}`, `{"nowhere":1," nowhere":2}`, `{"wide":tru}`, `{"wide":truex}`, `{wide:1}`, `{"wide" 1}`, `{"wide":"1`, "{\"wide\":1\r}",
	} {
		if _, quickly := j.quickFields(line); quickly {
			t.Errorf("%s was read quickly", line)
		}
	}
}

func FuzzQuickLines(f *testing.F) {
	for _, seed := range []string{`{"order": 7, "wide": "20 in"}`, `{"wide":-0.50,"lined":true,"deep":null}`, `{"wide":1,"wide":2}`, `{"a\u0062":1}`, `{" wide":1,"wide":2}`, `{"wide":1}{}`} {
		f.Add(seed, seed)
	}
	j := newJSONReader(f)
	f.Fuzz(func(t *testing.T, before, line string) {
		if !utf8.ValidString(before + line) {
			t.Skip("such a line is refused before it is taken apart")
		}
		j.quickFields(before)
		if _, err := sameFields(j, line); err != nil {
			t.Error(err)
		}
	})
}
