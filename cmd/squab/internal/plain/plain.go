// Package plain lays out pieces that come as a list, without a recipe: it reads them, and has them laid on a roll, on sheets or on sticks.
package plain

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/orders"
	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
	"squab/stdlib/layout"
)

// Job says what pieces are laid on. Lengths are as a person writes them; those that the form does not need may be empty.
type Job struct {
	Form                 string // roll, sheet or stick
	Wide, Deep, Long     string
	Kerf                 string
	Along, Across        string // of the pattern repeat
	Shows                string // the step and unit in which lengths are shown
	Guillotine           bool
	Effort               int64 // placements tried
	Time                 time.Duration
	stock                map[string]quantity.Number
	program              *check.Program
	pieceRecipe, onWhich *check.Recipe
}

// maxPieces is the most copies that one layout may have (language reference, section 12).
const maxPieces = 10_000

// Each list of pieces and each set of lengths is read as an order of a recipe, so that it is written and told of as orders are.
const book = `shop "" {
  currency = USD
  shows = %s
}
recipe on_roll {
  ask wide: length from 1/64 in to 1000 yd
  ask repeat_along: length from 0 in to 1000 yd = 0 in
  ask repeat_across: length from 0 in to 1000 yd = 0 in
}
recipe on_sheet {
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
  ask kerf: length from 0 in to 1 yd = 0 in
}
recipe on_stick {
  ask long: length from 1/64 in to 1000 yd
  ask kerf: length from 0 in to 1 yd = 0 in
}
recipe flat_piece {
  ask name: text
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
  ask count: count from 1 to 10000 = 1
  ask turn: yes/no = no
}
recipe long_piece {
  ask name: text
  ask long: length from 1/64 in to 1000 yd
  ask count: count from 1 to 10000 = 1
}
`

// Settle reads the job's lengths. The error says what a flag must give.
func (j *Job) Settle() error {
	if j.Form != "roll" && j.Form != "sheet" && j.Form != "stick" {
		return fmt.Errorf("--form is roll, sheet or stick, not %q", j.Form)
	}
	if err := j.read(); err != nil {
		return err
	}
	o := &check.Order{ID: "material", Recipe: j.onWhich, Given: map[int]*check.Cell{}}
	var settings []orders.Setting
	for _, s := range []orders.Setting{{Name: "wide", Text: j.Wide}, {Name: "deep", Text: j.Deep}, {Name: "long", Text: j.Long},
		{Name: "kerf", Text: j.Kerf}, {Name: "repeat_along", Text: j.Along}, {Name: "repeat_across", Text: j.Across}} {
		if s.Text == "" {
			continue
		}
		if j.onWhich.Cell(s.Name) == nil {
			return fmt.Errorf("a %s has no --%s", j.Form, flagName(s.Name))
		}
		settings = append(settings, s)
	}
	row := orders.Change(j.program, o, "", settings)
	values, problems := j.values(o)
	if problems = append(row.Problems, problems...); len(problems) > 0 {
		return j.wrongFlags(problems)
	}
	j.stock = map[string]quantity.Number{}
	for name, v := range values {
		j.stock[name] = v.Num
	}
	return nil
}

func flagName(ask string) string { return strings.ReplaceAll(ask, "_", "-") }

func (j *Job) wrongFlags(problems []diag.Diagnostic) error {
	d := problems[0]
	for _, ask := range j.onWhich.Asks {
		if strings.Contains(d.Message, " "+ask.Name+",") || strings.HasPrefix(d.Message, ask.Name+" ") {
			return fmt.Errorf("--%s: %s", flagName(ask.Name), d.Message)
		}
	}
	if len(d.Notes) > 0 {
		return fmt.Errorf("%s (%s)", d.Message, d.Notes[0])
	}
	return errors.New(d.Message)
}

// read checks the book of the job.
func (j *Job) read() error {
	files := &diag.Files{}
	var problems diag.List
	src := files.Add("pieces", fmt.Sprintf(book, j.Shows), diag.House)
	j.program = check.Check(files, []*lang.File{lang.Parse(src, lang.Limits{}, &problems)}, &problems)
	if problems.HasErrors() {
		return errors.New("--shows is a step and a unit, as 1/16 in or 1 mm")
	}
	j.onWhich = j.program.Recipe("on_" + j.Form)
	j.pieceRecipe = j.program.Recipe("flat_piece")
	if j.Form == "stick" {
		j.pieceRecipe = j.program.Recipe("long_piece")
	}
	return nil
}

// Program is the book whose style lengths are shown in.
func (j *Job) Program() *check.Program { return j.program }

// values works the asks of an order out.
func (j *Job) values(o *check.Order) (map[string]check.Value, []diag.Diagnostic) {
	if missing := missingAsks(o); len(missing) > 0 {
		return nil, missing
	}
	e := eval.Engine{Program: j.program}
	r, problems := e.Work(o, 0)
	if len(problems) > 0 {
		return nil, withoutRelated(problems)
	}
	values := map[string]check.Value{}
	for _, ask := range o.Recipe.Asks {
		values[ask.Name], _ = r.Sheet.Value(ask.Index)
	}
	return values, nil
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

// withoutRelated leaves out places in the book of the job, which nobody has written.
func withoutRelated(problems []diag.Diagnostic) []diag.Diagnostic {
	all := make([]diag.Diagnostic, len(problems))
	for i, d := range problems {
		d.Related = nil
		all[i] = d
	}
	return all
}

// Piece is one line of the list.
type Piece struct {
	Name, Order string
	Wide, Deep  quantity.Number // Wide is the length of a stick's piece
	Count       int
	Turn        bool
}

// Read reads pieces from CSV, JSON lines or a JSON list; what is wrong with a line is in the problems. The error says that reading failed.
func (j *Job) Read(in io.Reader, name string) ([]Piece, []diag.Diagnostic, error) {
	reader, err := j.reader(in, name)
	if err != nil {
		return nil, nil, err
	}
	var pieces []Piece
	var problems []diag.Diagnostic
	for row := range reader.Rows() {
		problems = append(problems, withoutRelated(row.Problems)...)
		if row.Order == nil {
			continue
		}
		values, wrong := j.values(row.Order)
		if problems = append(problems, row.Placed(wrong)...); len(wrong) > 0 {
			continue
		}
		n, _ := values["count"].Num.Int64()
		p := Piece{Name: values["name"].Text(), Wide: values["wide"].Num, Deep: values["deep"].Num, Count: int(n), Turn: values["turn"].Yes()}
		if j.Form == "stick" {
			p.Wide = values["long"].Num
		}
		if row.HasID {
			p.Order = row.ID
		}
		pieces = append(pieces, p)
	}
	return pieces, append(problems, reader.Problems()...), reader.Err()
}

// maxList is how many bytes a JSON list may have; lines may go on for ever.
const maxList = 64 << 20

// reader tells by the first byte what is read.
func (j *Job) reader(in io.Reader, name string) (*orders.Reader, error) {
	first := make([]byte, 1)
	n, err := io.ReadFull(in, first)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	in = io.MultiReader(bytes.NewReader(first[:n]), in)
	switch {
	case n == 1 && first[0] == '[':
		return j.listReader(in, name)
	case n == 1 && first[0] == '{':
		return orders.JSONLines(in, name, j.program, j.pieceRecipe), nil
	}
	return orders.CSV(in, name, j.program, j.pieceRecipe), nil
}

// listReader sets each item of a list on a line of its own.
func (j *Job) listReader(in io.Reader, name string) (*orders.Reader, error) {
	data, err := io.ReadAll(io.LimitReader(in, maxList+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxList {
		return nil, fmt.Errorf("%s: a JSON list of pieces is at most 64 MiB; JSON lines may be longer", name)
	}
	var items []json.RawMessage
	if err := json.Unmarshal(data, &items); err != nil {
		return nil, fmt.Errorf("%s: this is no JSON list: %w", name, err)
	}
	var b bytes.Buffer
	for _, item := range items {
		if err := json.Compact(&b, item); err != nil {
			return nil, err
		}
		b.WriteByte('\n')
	}
	return orders.JSONLines(&b, name, j.program, j.pieceRecipe), nil
}

// Laid is a layout, a sketch of it in text, and the pieces that could not be laid.
type Laid struct {
	Layout   eval.Layout
	Sketch   string
	Unplaced []layout.Unplaced
}

// sketchColumns is how wide a sketch is.
const sketchColumns = 80

// Lay lays the pieces out. Its measures are exact; the error says that there is no grid for them, or too many pieces.
func (j *Job) Lay(ctx context.Context, pieces []Piece) (Laid, error) {
	copies := 0
	for _, p := range pieces {
		if copies += p.Count; copies > maxPieces {
			return Laid{}, fmt.Errorf("there are more than %d pieces to lay", maxPieces)
		}
	}
	g, err := j.gridFor(pieces)
	if err != nil {
		return Laid{}, err
	}
	result, err := j.run(ctx, g, pieces)
	if err != nil {
		return Laid{}, err
	}
	show := func(steps int64) string { return j.program.Style.Show(g.inches(steps), quantity.LengthDim).Text }
	return Laid{j.layout(g, result), result.Sketch(show, sketchColumns), result.Unplaced}, nil
}

func (j *Job) run(ctx context.Context, g grid, pieces []Piece) (layout.Result, error) {
	effort := layout.Effort{Work: j.Effort, Time: j.Time}
	if j.Time > 0 {
		effort.Work = 0
	}
	switch j.Form {
	case "roll":
		roll := layout.Roll{Wide: g.steps(j.stock["wide"]), Repeat: layout.Repeat{Along: g.steps(j.stock["repeat_along"]), Across: g.steps(j.stock["repeat_across"])}}
		return layout.LayRoll(ctx, roll, g.flat(pieces), effort)
	case "sheet":
		stock := []layout.SheetStock{{Name: "sheet", Wide: g.steps(j.stock["wide"]), Deep: g.steps(j.stock["deep"]), Price: 1}}
		return layout.LaySheets(ctx, stock, layout.SheetRule{Kerf: g.steps(j.stock["kerf"]), Guillotine: j.Guillotine}, g.flat(pieces), effort)
	}
	stock := []layout.StickStock{{Name: "stick", Long: g.steps(j.stock["long"]), Price: 1}}
	return layout.LaySticks(ctx, stock, layout.StickRule{Kerf: g.steps(j.stock["kerf"])}, g.long(pieces), effort)
}

// grid turns lengths in inches into whole steps of 1/per in, exactly.
type grid struct{ per int64 }

// gridFor finds the steps in which every measure of the job is whole.
func (j *Job) gridFor(pieces []Piece) (grid, error) {
	var all []layout.Fraction
	measures := make([]quantity.Number, 0, 2*len(pieces)+len(j.stock))
	for _, ask := range j.onWhich.Asks {
		measures = append(measures, j.stock[ask.Name])
	}
	for _, p := range pieces {
		measures = append(measures, p.Wide, p.Deep)
	}
	for _, m := range measures {
		r := m.Rat()
		if !m.Exact() || !r.Num().IsInt64() || !r.Denom().IsInt64() {
			return grid{}, fmt.Errorf("the length %s is too fine to lay out", m)
		}
		all = append(all, layout.Fraction{Num: r.Num().Int64(), Den: r.Denom().Int64()})
	}
	per, _, err := layout.Scale(all...)
	if err != nil {
		return grid{}, fmt.Errorf("the lengths have no step in common: %w", err)
	}
	return grid{per}, nil
}

func (g grid) steps(n quantity.Number) int64 {
	steps, _ := n.Mul(quantity.Int(g.per)).Int64()
	return steps
}

func (g grid) inches(steps int64) quantity.Number { return quantity.Frac(steps, g.per) }

func (g grid) flat(pieces []Piece) []layout.Piece {
	all := make([]layout.Piece, len(pieces))
	for i, p := range pieces {
		all[i] = layout.Piece{Name: p.Name, Order: p.Order, Wide: g.steps(p.Wide), Deep: g.steps(p.Deep), Count: p.Count, Turn: p.Turn, EndForEnd: true}
	}
	return all
}

func (g grid) long(pieces []Piece) []layout.StickPiece {
	all := make([]layout.StickPiece, len(pieces))
	for i, p := range pieces {
		all[i] = layout.StickPiece{Name: p.Name, Order: p.Order, Long: g.steps(p.Wide), Count: p.Count}
	}
	return all
}

// layout gives the result in lengths. Sheets and sticks are counted.
func (j *Job) layout(g grid, r layout.Result) eval.Layout {
	form := check.Form(j.Form)
	l := eval.Layout{Material: &check.Material{Name: j.Form}, Form: form, Wide: j.stock["wide"], Used: quantity.Int(r.Cost), Bound: quantity.Int(r.CostBound), Proved: r.Proved, Laid: true}
	total := int64(0)
	for _, s := range r.Sheets {
		total += s.Wide * max(s.Deep, 1)
	}
	switch form {
	case check.Roll:
		l.Used, l.Bound, total = g.inches(r.Used), g.inches(r.Bound), r.Wide*r.Used
	case check.Stick:
		l.Wide = j.stock["long"]
	}
	if total > 0 {
		l.Waste = quantity.Frac(r.Waste, total)
	}
	for _, p := range r.Placed {
		lies := eval.Placed{Piece: p.Piece, Order: p.Order, Copy: p.Copy, Panel: p.Panel, Sheet: p.Sheet + 1, Turned: p.Turned,
			X: g.inches(p.X), Y: g.inches(p.Y), Wide: g.inches(p.Wide), Deep: g.inches(p.Deep)}
		if form == check.Roll {
			lies.Sheet = 0
		}
		l.Placed = append(l.Placed, lies)
	}
	return l
}
