package plain

import (
	"errors"
	"fmt"
	"io"

	"squab/cmd/squab/internal/load"
	"squab/eval"
	"squab/eval/check"
	"squab/eval/orders"
	"squab/eval/quantity"
	"squab/lang/diag"
	"squab/stdlib"
)

// record is what one order of the book gives: a piece, a material's measures, an item of its lists.
type record struct {
	recipe *check.Recipe
	order  string
	values map[string]check.Value
	given  map[string]bool
}

func (r *record) num(name string) quantity.Number { return r.values[name].Num }
func (r *record) yes(name string) bool            { return r.values[name].Yes() }
func (r *record) text(name string) string         { return r.values[name].Text() }

func (r *record) whole(name string) int {
	n, _ := r.values[name].Num.Int64()
	return int(n)
}

// values works the asks of an order out.
func (j *Job) values(o *check.Order) (*record, []diag.Diagnostic) {
	if wrong := append(missingAsks(o), ofOrdersAlone(o)...); len(wrong) > 0 {
		return nil, wrong
	}
	e := eval.Engine{Program: j.program}
	result, problems := e.Work(o, 0)
	if len(problems) > 0 {
		return nil, withoutRelated(problems)
	}
	r := &record{recipe: o.Recipe, values: map[string]check.Value{}, given: map[string]bool{}}
	for _, ask := range o.Recipe.Asks {
		r.values[ask.Name], _ = result.Sheet.Value(ask.Index)
		r.given[ask.Name] = o.Given[ask.Index] != nil
	}
	return r, nil
}

func missingAsks(o *check.Order) []diag.Diagnostic {
	var all []diag.Diagnostic
	for _, ask := range o.Recipe.Asks {
		if ask.Expr == nil && o.Given[ask.Index] == nil {
			all = append(all, diag.Diagnostic{Code: "ask-missing", Message: ask.Name + " is not given"})
		}
	}
	return all
}

// ofOrdersAlone tells of what is said of orders and has no meaning for a piece or a material, rather than leave it out.
func ofOrdersAlone(o *check.Order) []diag.Diagnostic {
	var all []diag.Diagnostic
	if o.Off != nil {
		all = append(all, diag.Diagnostic{Code: "column-unknown", Message: "off is said of orders alone", Help: "count says how many pieces are cut"})
	}
	if o.HasDate {
		all = append(all, diag.Diagnostic{Code: "column-unknown", Message: "a date is said of orders alone"})
	}
	for _, ask := range o.Recipe.Asks {
		if given := o.Given[ask.Index]; given != nil && given.Tolerance != nil {
			all = append(all, diag.Diagnostic{Code: "tolerance-misplaced", Message: ask.Name + " is laid out as it is given: a tolerance says nothing here", Help: "leave out tolerance"})
		}
	}
	return all
}

// withoutRelated leaves out the book of the job, which nobody has written.
func withoutRelated(problems []diag.Diagnostic) []diag.Diagnostic {
	all := make([]diag.Diagnostic, len(problems))
	for i, d := range problems {
		d.Related, d.Message, d.Help = nil, plainly(d.Message), plainly(d.Help)
		all[i] = d
	}
	return all
}

// Read reads pieces from CSV, JSON lines or a JSON list, or materials and pieces from one JSON object; what is wrong with a line is in the
// problems. The error says that reading failed, or what a flag must give.
func (j *Job) Read(in io.Reader, name string) ([]diag.Diagnostic, error) {
	sign, in := load.FirstSign(in)
	if sign == '{' || sign == '[' {
		return j.readJSON(in, name, sign == '[')
	}
	if err := j.describe(); err != nil {
		return nil, misused{err}
	}
	return j.readPieces(orders.CSV(in, name, j.program, j.pieceRecipe(j.form)))
}

// misused is an error of the flags.
type misused struct{ error }

// IsMisuse reports whether an error of Read comes of the flags.
func IsMisuse(err error) bool {
	var m misused
	return errors.As(err, &m)
}

func (j *Job) pieceRecipe(form string) *check.Recipe {
	if form == "stick" {
		return j.program.Recipe("long_piece")
	}
	return j.program.Recipe("flat_piece")
}

// readPieces takes in each piece that can be read.
func (j *Job) readPieces(reader *orders.Reader) ([]diag.Diagnostic, error) {
	problems := j.records(reader, j.takePiece)
	return problems, reader.Err()
}

// records hands on each record that can be read, and gives what is wrong with the others.
func (j *Job) records(reader *orders.Reader, take func(*record) []diag.Diagnostic) []diag.Diagnostic {
	var problems []diag.Diagnostic
	for row := range reader.Rows() {
		problems = append(problems, withoutRelated(row.Problems)...)
		if row.Order == nil {
			continue
		}
		r, wrong := j.values(row.Order)
		if r != nil && row.HasID {
			r.order = row.ID
		}
		if r != nil {
			wrong = take(r)
		}
		problems = append(problems, row.Placed(wrong)...)
	}
	return append(problems, withoutRelated(reader.Problems())...)
}

// takePiece gives a piece to its material.
func (j *Job) takePiece(r *record) []diag.Diagnostic {
	m := j.materialOf(r.text("material"))
	if m == nil {
		return []diag.Diagnostic{j.noMaterial(r.text("material"))}
	}
	cut := stdlib.Cut{Name: r.text("name"), Order: r.order, Wide: r.num("wide"), Deep: r.num("deep"), Count: r.whole("count"),
		Turn: r.yes("turn") && !m.oneWay, EndForEnd: r.yes("end_for_end") && !m.oneWay, Mitre: r.num("mitre")}
	if m.job.Form == check.Stick {
		cut.Wide = r.num("long")
	}
	if r.given["match_x"] || r.given["match_y"] {
		cut.Match = &eval.Point{X: r.num("match_x"), Y: r.num("match_y")}
	}
	if r.given["join"] {
		seam := r.num("join")
		cut.Join, cut.SideBySide = &seam, j.word(r, "panels") == "side_by_side"
	}
	m.job.Pieces = append(m.job.Pieces, cut)
	return nil
}

// word writes a value that is a word of a choice.
func (j *Job) word(r *record, name string) string {
	return eval.Show(j.program, r.values[name], r.recipe.Cell(name).Type)
}

// materialOf finds the material that a piece names, or the only one.
func (j *Job) materialOf(name string) *material {
	if name == "" && len(j.materials) == 1 {
		return j.materials[0]
	}
	for _, m := range j.materials {
		if m.name == name {
			return m
		}
	}
	return nil
}

func (j *Job) noMaterial(name string) diag.Diagnostic {
	if name == "" {
		return diag.Diagnostic{Code: "material-missing", Message: "there are several materials, and this piece says none", Help: "give its material by name"}
	}
	d := diag.Diagnostic{Code: "name-unknown", Message: fmt.Sprintf("there is no material called %.40q", name)}
	var names []string
	for _, m := range j.materials {
		names = append(names, m.name)
	}
	if near := check.Nearest(name, names); near != "" {
		d.Help = "did you mean " + near + "?"
	}
	return d
}

// Materials counts what the pieces are laid on.
func (j *Job) Materials() int { return len(j.materials) }

// Pieces counts the pieces that were read.
func (j *Job) Pieces() int {
	n := 0
	for _, m := range j.materials {
		n += len(m.job.Pieces) + len(m.job.Bias)
	}
	return n
}
