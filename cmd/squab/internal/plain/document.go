package plain

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"squab/eval/check"
	"squab/lang/diag"
)

// object is a JSON object: its keys in order, and their values.
type object struct {
	keys   []string
	values map[string]json.RawMessage
}

// readObject reads one object and nothing of what follows it. A key that comes twice is an error; what was read before it is given all the same.
func readObject(in *json.Decoder) (*object, error) {
	if t, err := in.Token(); err != nil || t != json.Delim('{') {
		return nil, errors.New("this is no JSON object")
	}
	o := &object{values: map[string]json.RawMessage{}}
	for in.More() {
		t, err := in.Token()
		if err != nil {
			return o, notJSON(err)
		}
		key, _ := t.(string)
		if _, twice := o.values[key]; twice {
			return o, fmt.Errorf("%.40q is given twice", key)
		}
		var value json.RawMessage
		if err := in.Decode(&value); err != nil {
			return o, notJSON(err)
		}
		o.keys = append(o.keys, key)
		o.values[key] = value
	}
	if _, err := in.Token(); err != nil {
		return o, notJSON(err)
	}
	return o, nil
}

func notJSON(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("the JSON ends too soon")
	}
	return fmt.Errorf("this is not JSON: %w", err)
}

// wholeDocument reads an object that has the key pieces; nil where the input is something else.
func wholeDocument(in io.Reader) (*object, error) {
	decoder := json.NewDecoder(in)
	o, err := readObject(decoder)
	if o == nil || o.values["pieces"] == nil {
		return nil, nil // a line of JSON lines tells itself what is wrong with it
	}
	if err != nil {
		return nil, err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the object that holds the pieces, or it is longer than 64 MiB")
	}
	return o, nil
}

// readDocument reads an object with materials and pieces. Where it has no materials, the flags tell of one.
func (j *Job) readDocument(doc *object, name string) ([]diag.Diagnostic, error) {
	for _, key := range doc.keys {
		if key != "material" && key != "materials" && key != "pieces" {
			return nil, fmt.Errorf("%s: the keys are materials and pieces, not %.40q", name, key)
		}
	}
	materials, err := itemsOf(doc, "materials")
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	pieces, err := itemsOf(doc, "pieces")
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if one := doc.values["material"]; one != nil {
		materials = append(materials, one)
	}
	if len(materials) == 0 {
		if err := j.describe(); err != nil {
			return nil, misused{err}
		}
	} else if j.Describes() {
		return nil, misused{errors.New("the file tells what its pieces are laid on: leave the flags that do so out")}
	}
	problems := j.readMaterials(materials, name)
	return append(problems, j.readEach(pieces, name)...), nil
}

func itemsOf(doc *object, key string) ([]json.RawMessage, error) {
	raw := doc.values[key]
	if raw == nil {
		return nil, nil
	}
	var items []json.RawMessage
	if err := json.Unmarshal(raw, &items); err != nil {
		return nil, fmt.Errorf("%s is a list, in brackets", key)
	}
	return items, nil
}

func (j *Job) readMaterials(items []json.RawMessage, name string) []diag.Diagnostic {
	var problems []diag.Diagnostic
	for i, item := range items {
		place := fmt.Sprintf("%s, material %d", name, i+1)
		found, err := j.readMaterial(item, place)
		if err != nil {
			found = append(found, diag.Diagnostic{Code: "material-malformed", Message: err.Error(), Place: diag.Place{File: place, Line: 1, Column: 1}})
		}
		problems = append(problems, found...)
	}
	return problems
}

// readMaterial reads one material: its form, its lists, and all else as its measures.
func (j *Job) readMaterial(item json.RawMessage, name string) ([]diag.Diagnostic, error) {
	o, err := readObject(json.NewDecoder(bytes.NewReader(item)))
	if err != nil {
		return nil, err
	}
	form, err := formOf(o)
	if err != nil {
		return nil, err
	}
	var m *material
	reader := j.itemReader([]json.RawMessage{o.without("form", Sizes.key(), Flaws.key(), Remnants.key(), Bias.key())}, name,
		j.recipeOf(form, o.values[Sizes.key()] != nil))
	var wrong error
	problems := j.records(reader, func(r *record) []diag.Diagnostic {
		m, wrong = newMaterial(form, r)
		return nil
	})
	if wrong != nil || m == nil {
		return problems, wrong
	}
	for l := range lists {
		found, err := j.readList(m, l, o, name)
		if problems = append(problems, found...); err != nil {
			return problems, err
		}
	}
	if j.materialOf(m.name) != nil {
		return problems, fmt.Errorf("there are two materials called %.40q", m.name)
	}
	j.materials = append(j.materials, m)
	return problems, m.check()
}

func formOf(o *object) (string, error) {
	var form string
	if json.Unmarshal(o.values["form"], &form); form != "roll" && form != "sheet" && form != "stick" {
		return "", errors.New("its form is roll, sheet or stick")
	}
	return form, nil
}

// readList reads one of a material's lists.
func (j *Job) readList(m *material, l List, o *object, name string) ([]diag.Diagnostic, error) {
	if o.values[l.key()] == nil {
		return nil, nil
	}
	recipe := j.program.Recipe(m.recipeOf(l))
	if recipe == nil {
		return nil, fmt.Errorf("a %s has no %s", m.job.Form, l.key())
	}
	items, err := itemsOf(o, l.key())
	if err != nil {
		return nil, err
	}
	return j.records(j.itemReader(items, name+", "+l.key(), recipe), func(r *record) []diag.Diagnostic {
		m.take(l, r)
		return nil
	}), nil
}

// without is the object again, less some keys.
func (o *object) without(keys ...string) json.RawMessage {
	var b bytes.Buffer
	for _, key := range o.keys {
		if slices.Contains(keys, key) {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		quoted, _ := json.Marshal(key) // a text can always be written
		b.Write(quoted)
		b.WriteByte(':')
		b.Write(o.values[key])
	}
	return json.RawMessage("{" + b.String() + "}")
}

// readEach reads pieces, each by the recipe that its material's form wants.
func (j *Job) readEach(items []json.RawMessage, name string) []diag.Diagnostic {
	if len(j.materials) == 0 {
		return nil
	}
	flat, long := make([]json.RawMessage, len(items)), make([]json.RawMessage, len(items))
	name += ", pieces"
	var problems []diag.Diagnostic
	for i, item := range items {
		var p struct{ Material string }
		isObject := json.Unmarshal(item, &p) == nil // what is none tells itself so when it is read
		switch m := j.materialOf(p.Material); {
		case m == nil && isObject:
			d := j.noMaterial(p.Material)
			d.Place = diag.Place{File: name, Line: i + 1, Column: 1}
			problems = append(problems, d)
		case m != nil && m.job.Form == check.Stick:
			long[i] = item
		default:
			flat[i] = item
		}
	}
	problems = append(problems, j.records(j.itemReader(flat, name, j.pieceRecipe("roll")), j.takePiece)...)
	return append(problems, j.records(j.itemReader(long, name, j.pieceRecipe("stick")), j.takePiece)...)
}
