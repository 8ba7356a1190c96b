// Package plain lays out pieces that come as a list, without a recipe: it reads them and what they are cut from, and has them laid on rolls, on
// sheets or on sticks.
package plain

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"squab/eval/check"
	"squab/eval/orders"
	"squab/eval/quantity"
	"squab/lang/diag"
	"squab/stdlib"
	"squab/stdlib/layout"
)

// Job says what pieces are laid on, unless a file of JSON says it itself. What is given is written as a person writes it.
type Job struct {
	Form     string           // roll, sheet or stick; a roll where it is not given
	Given    []orders.Setting // of the material: wide, kerf and so on
	Lists    [lists][]string  // sizes, flaws and so on of the material, each as "wide=…, deep=…"
	Shows    string           // the step and unit in which lengths are shown
	Currency string           // of prices
	Effort   int64            // placements tried
	Time     time.Duration

	form      string
	program   *check.Program
	materials []*material
}

// material is what pieces are laid on, and those pieces.
type material struct {
	name   string
	oneWay bool // no piece is turned, whatever it says
	job    stdlib.LayJob
}

// maxPieces is the most copies that one layout may have (language reference, section 12).
const maxPieces = 10_000

// Settle reads what the job gives of its material. The error says what a flag must give.
func (j *Job) Settle() error {
	if j.form = cmp.Or(j.Form, "roll"); !isForm(j.form) {
		return fmt.Errorf("--form is roll, sheet or stick, not %q", j.form)
	}
	var err error
	j.program, err = checkBook(j.Currency, j.Shows)
	return err
}

func isForm(form string) bool { return form == "roll" || form == "sheet" || form == "stick" }

// describes reports whether the job says anything of a material.
func (j *Job) describes() bool {
	listed := func(items []string) bool { return len(items) > 0 }
	return j.Form != "" || len(j.Given) > 0 || slices.ContainsFunc(j.Lists[:], listed)
}

// describe makes the one material that the job tells of.
func (j *Job) describe() error {
	values, err := j.flagged(j.recipeOf(j.form, len(j.Lists[Sizes]) > 0), "", j.Given)
	if err != nil {
		return err
	}
	m, err := newMaterial(j.form, values)
	if err != nil {
		return err
	}
	for list, items := range j.Lists {
		for _, text := range items {
			if err := j.takeFlagged(m, List(list), text); err != nil {
				return err
			}
		}
	}
	j.materials = []*material{m}
	return m.check()
}

// takeFlagged takes in one item of a list that a flag gives.
func (j *Job) takeFlagged(m *material, list List, text string) error {
	recipe := j.program.Recipe(m.recipeOf(list))
	if recipe == nil {
		return fmt.Errorf("a %s has no --%s", j.form, list)
	}
	values, err := j.flagged(recipe, "--"+list.String(), settings(text))
	if err != nil {
		return err
	}
	m.take(list, values)
	return nil
}

// recipeOf is the recipe whose asks are a material's measures. One that comes in several sizes has none of its own.
func (j *Job) recipeOf(form string, several bool) *check.Recipe {
	if several && form != "roll" {
		form += "s"
	}
	return j.program.Recipe(form)
}

// settings splits "wide=48 in, deep=96 in" at its commas; what follows a comma without a sign of its own belongs to the value before.
func settings(text string) []orders.Setting {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	var all []orders.Setting
	for part := range strings.SplitSeq(text, ",") {
		name, value, ok := strings.Cut(part, "=")
		if !ok && len(all) > 0 {
			all[len(all)-1].Text += "," + part
			continue
		}
		all = append(all, orders.Setting{Name: strings.TrimSpace(name), Text: strings.TrimSpace(value)})
	}
	return all
}

// flagged reads settings as flags give them: of the material itself, or with flag the item of a list.
func (j *Job) flagged(recipe *check.Recipe, flag string, given []orders.Setting) (*record, error) {
	o := &check.Order{ID: "material", Recipe: recipe, Given: map[int]*check.Cell{}}
	for _, s := range given {
		if recipe.Cell(s.Name) == nil && flag == "" {
			return nil, fmt.Errorf("%s has no --%s", ofForm(recipe), flagName(s.Name))
		}
	}
	row := orders.Change(j.program, o, "", given)
	values, problems := j.values(o)
	if problems = append(row.Problems, problems...); len(problems) > 0 {
		return nil, wrongFlag(recipe, flag, problems[0])
	}
	return values, nil
}

// ofForm tells of a material by the recipe that its measures are read by.
func ofForm(recipe *check.Recipe) string {
	if one, several := strings.CutSuffix(recipe.Name, "s"); several {
		return "with --size a " + one
	}
	return "a " + recipe.Name
}

func flagName(ask string) string { return strings.ReplaceAll(ask, "_", "-") }

// wrongFlag tells of a problem by the flag that it comes of.
func wrongFlag(recipe *check.Recipe, flag string, d diag.Diagnostic) error {
	for _, ask := range recipe.Asks {
		if flag == "" && (strings.Contains(d.Message, " "+ask.Name+",") || strings.HasPrefix(d.Message, ask.Name+" ")) {
			flag = "--" + flagName(ask.Name)
		}
	}
	text := plainly(d.Message)
	if flag != "" {
		text = flag + ": " + text
	}
	if len(d.Notes) > 0 {
		return fmt.Errorf("%s (%s)", text, d.Notes[0])
	}
	return errors.New(text)
}

// Program is the book whose style lengths are shown in.
func (j *Job) Program() *check.Program { return j.program }

// plainly leaves the book of the job out of a message: nobody has written it.
func plainly(message string) string {
	return strings.NewReplacer("sheet_size has no ask called", "a size of sheet has no", "stick_size has no ask called", "a size of stick has no",
		"flat_piece has no ask called", "a piece of a roll or a sheet has no", "long_piece has no ask called", "a piece of a stick has no",
		"has no ask called", "has no", "there is no ask called", "there is nothing called", "no ask of flat_piece", "nothing of a piece of a roll or a sheet", "no ask of long_piece", "nothing of a piece of a stick", "the file holds no orders", "the file holds no pieces",
		"order, title, off, date and the asks", "name, wide, deep, count and so on; of sticks name, long, count").Replace(message)
}

// Laid is the layout of one material, a sketch of it in text, and the pieces that could not be laid.
type Laid struct {
	stdlib.Laid
	show func(quantity.Number) string
}

// sketchColumns is how wide a sketch is.
const sketchColumns = 80

// Sketch draws the layout in text.
func (l *Laid) Sketch() string { return l.Laid.Sketch(l.show, sketchColumns) }

// SVG draws the layout to scale.
func (l *Laid) SVG() string { return l.Laid.SVG(l.show) }

// Lay lays the pieces that were read out, material by material. Its measures are exact; the error says that there is no grid for them, or too many pieces.
func (j *Job) Lay(ctx context.Context) ([]Laid, error) {
	effort := layout.Effort{Work: j.Effort, Time: j.Time}
	if j.Time > 0 {
		effort.Work = 0
	}
	show := func(n quantity.Number) string { return j.program.Style.Show(n, quantity.LengthDim).Text }
	var all []Laid
	for _, m := range j.materials {
		laid, err := m.lay(ctx, effort)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.name, err)
		}
		all = append(all, Laid{laid, show})
	}
	return all, nil
}

func (m *material) lay(ctx context.Context, effort layout.Effort) (stdlib.Laid, error) {
	copies := 0
	for _, p := range m.job.Pieces {
		if copies += p.Count; copies > maxPieces {
			return stdlib.Laid{}, fmt.Errorf("there are more than %d pieces to lay", maxPieces)
		}
	}
	return m.job.Lay(ctx, effort)
}
