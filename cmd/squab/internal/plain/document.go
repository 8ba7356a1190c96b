package plain

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"

	"squab/eval/check"
	"squab/eval/orders"
	"squab/lang/diag"
)

// maxList is how many bytes a JSON list or object may have; lines may go on for ever.
const maxList = 64 << 20

// readJSON reads a list of pieces, one object of materials and pieces, or JSON lines.
func (j *Job) readJSON(in io.Reader, name string, isList bool) ([]diag.Diagnostic, error) {
	var head bytes.Buffer
	start := io.TeeReader(io.LimitReader(in, maxList+1), &head)
	if !isList && !isDocument(start) {
		if err := j.describe(); err != nil {
			return nil, misused{err}
		}
		return j.readPieces(orders.JSONLines(io.MultiReader(&head, in), name, j.program, j.pieceRecipe(j.form)))
	}
	if _, err := io.Copy(io.Discard, start); err != nil {
		return nil, err
	}
	file := &jsonFile{name: name, text: head.String()}
	switch {
	case len(file.text) > maxList:
		return []diag.Diagnostic{file.wrong(0, "a JSON list or object is at most 64 MiB; JSON lines may be longer")}, nil
	case isList:
		return j.readList(file)
	}
	return j.readDocument(file)
}

// isDocument reports whether what begins with a brace is an object of materials and pieces, and not a line of JSON lines.
func isDocument(in io.Reader) bool {
	o, _ := readObject(json.NewDecoder(in), 0)
	return o.has("pieces") || o.has("materials")
}

// readList reads a JSON list of pieces.
func (j *Job) readList(file *jsonFile) ([]diag.Diagnostic, error) {
	if problems := file.malformed(); problems != nil {
		return problems, nil
	}
	items, err := value{[]byte(file.text), 0}.items()
	if err != nil {
		return nil, err
	}
	if err := j.describe(); err != nil {
		return nil, misused{err}
	}
	return j.readItems(file, items, j.pieceRecipe(j.form), j.takePiece), nil
}

// readDocument reads an object with materials and pieces. Where it has no materials, the flags tell of one.
func (j *Job) readDocument(file *jsonFile) ([]diag.Diagnostic, error) {
	doc, problems := file.document()
	if problems != nil {
		return problems, nil
	}
	materials, wrongMaterials := file.itemsOf(doc, "materials")
	pieces, wrongPieces := file.itemsOf(doc, "pieces")
	if problems = slices.Concat(file.keyProblems(doc), wrongMaterials, wrongPieces); len(problems) > 0 {
		return problems, nil
	}
	if doc.has("material") {
		materials = append(materials, doc.get("material"))
	}
	if err := j.describeUnless(len(materials) > 0); err != nil {
		return nil, misused{err}
	}
	for _, m := range materials {
		problems = append(problems, j.readMaterial(file, m)...)
	}
	return append(problems, j.readEach(file, pieces)...), nil
}

// document reads the object of materials and pieces that a file is, and nothing else.
func (f *jsonFile) document() (*object, []diag.Diagnostic) {
	in := json.NewDecoder(strings.NewReader(f.text))
	doc, err := readObject(in, 0)
	if problems := f.objectProblems(err, 0); problems != nil {
		return doc, problems
	}
	if rest := f.text[in.InputOffset():]; strings.TrimSpace(rest) != "" {
		at := len(f.text) - len(strings.TrimLeft(rest, " \t\r\n"))
		return doc, []diag.Diagnostic{f.wrong(at, "something follows the object that holds the pieces")}
	}
	return doc, nil
}

func (f *jsonFile) keyProblems(doc *object) (problems []diag.Diagnostic) {
	for _, m := range doc.members {
		if m.key != "material" && m.key != "materials" && m.key != "pieces" {
			problems = append(problems, f.wrong(m.value.at, "the keys are materials and pieces, not %.40q", m.key))
		}
	}
	if len(problems) == 0 && !doc.has("pieces") {
		problems = append(problems, f.wrong(0, "the object has no pieces"))
	}
	return problems
}

// describeUnless takes the material from the flags, unless a file tells of its own.
func (j *Job) describeUnless(own bool) error {
	switch {
	case !own:
		return j.describe()
	case j.describes():
		return errors.New("the file tells what its pieces are laid on: leave the flags that do so out")
	}
	return nil
}

// objectProblems tells why an object that begins at a byte could not be read.
func (f *jsonFile) objectProblems(err error, at int) []diag.Diagnostic {
	var again twice
	switch {
	case err == nil:
		return nil
	case errors.As(err, &again):
		return []diag.Diagnostic{f.wrong(again.at, "%s", err)}
	}
	if problems := f.malformed(); problems != nil {
		return problems
	}
	return []diag.Diagnostic{f.wrong(at, "%s", err)}
}

// itemsOf gives the items of a list under a key; none where there is no such key.
func (f *jsonFile) itemsOf(o *object, key string) ([]value, []diag.Diagnostic) {
	v := o.get(key)
	if v.raw == nil {
		return nil, nil
	}
	items, err := v.items()
	if err != nil {
		return nil, []diag.Diagnostic{f.wrong(v.at, "%s is a list, in brackets", key)}
	}
	return items, nil
}

// readMaterial reads one material: its form, its lists, and all else as its measures.
func (j *Job) readMaterial(file *jsonFile, v value) []diag.Diagnostic {
	o, err := v.object()
	if problems := file.objectProblems(err, v.at); problems != nil {
		return problems
	}
	form := formOf(o)
	if form == "" {
		return []diag.Diagnostic{file.wrong(max(v.at, o.get("form").at), "its form is roll, sheet or stick")}
	}
	m, problems := j.readMeasures(file, v, o, form)
	if m == nil {
		return problems
	}
	for l := range lists {
		problems = append(problems, j.readListOf(file, m, l, o)...)
	}
	if j.materialOf(m.name) != nil {
		return append(problems, file.wrong(v.at, "there are two materials called %.40q", m.name))
	}
	j.materials = append(j.materials, m)
	if err := m.check(); err != nil {
		problems = append(problems, file.wrong(v.at, "%s", err))
	}
	return problems
}

// readMeasures reads what a material gives besides its form and its lists; nil where that cannot be taken.
func (j *Job) readMeasures(file *jsonFile, v value, o *object, form string) (m *material, problems []diag.Diagnostic) {
	measures := v.without(o, "form", Sizes.key(), Flaws.key(), Remnants.key(), Bias.key())
	problems = j.readItems(file, []value{measures}, j.recipeOf(form, o.has(Sizes.key())), func(r *record) []diag.Diagnostic {
		var err error
		if m, err = newMaterial(form, r); err != nil {
			return []diag.Diagnostic{{Code: "material-unnamed", Message: err.Error()}}
		}
		return nil
	})
	return m, problems
}

// formOf is the form that a material gives; "" where that is none.
func formOf(o *object) string {
	var form string
	if err := json.Unmarshal(o.get("form").raw, &form); err != nil || !isForm(form) {
		return ""
	}
	return form
}

// readListOf reads one of a material's lists.
func (j *Job) readListOf(file *jsonFile, m *material, l List, o *object) []diag.Diagnostic {
	if !o.has(l.key()) {
		return nil
	}
	recipe := j.program.Recipe(m.recipeOf(l))
	if recipe == nil {
		return []diag.Diagnostic{file.wrong(o.get(l.key()).at, "a %s has no %s", m.job.Form, l.key())}
	}
	items, problems := file.itemsOf(o, l.key())
	return append(problems, j.readItems(file, items, recipe, func(r *record) []diag.Diagnostic {
		m.take(l, r)
		return nil
	})...)
}

// readEach reads pieces, each by the recipe that its material's form wants.
func (j *Job) readEach(file *jsonFile, items []value) []diag.Diagnostic {
	if len(j.materials) == 0 {
		return nil
	}
	flat, long := make([]value, len(items)), make([]value, len(items))
	var problems []diag.Diagnostic
	for i, item := range items {
		var p struct{ Material string }
		isObject := json.Unmarshal(item.raw, &p) == nil // what is none tells itself so when it is read
		switch m := j.materialOf(p.Material); {
		case m == nil && isObject:
			d := j.noMaterial(p.Material)
			d.Place = file.place(item.at)
			problems = append(problems, d)
		case m != nil && m.job.Form == check.Stick:
			long[i] = item
		default:
			flat[i] = item
		}
	}
	problems = append(problems, j.readItems(file, flat, j.pieceRecipe("roll"), j.takePiece)...)
	return append(problems, j.readItems(file, long, j.pieceRecipe("stick"), j.takePiece)...)
}

// readItems reads each item as a line of its own; one of nothing is a line of nothing. A line end inside an item is as good as a blank.
func (j *Job) readItems(file *jsonFile, items []value, recipe *check.Recipe, take func(*record) []diag.Diagnostic) []diag.Diagnostic {
	var b bytes.Buffer
	var problems []diag.Diagnostic
	for _, item := range items {
		if item.raw == nil || item.raw[0] == '{' {
			b.Write(bytes.ReplaceAll(item.raw, []byte("\n"), []byte(" ")))
		} else {
			problems = append(problems, file.wrong(item.at, "%s", errNoObject))
		}
		b.WriteByte('\n')
	}
	return append(problems, file.placed(items, j.records(orders.JSONLines(&b, file.name, j.program, recipe), take))...)
}
