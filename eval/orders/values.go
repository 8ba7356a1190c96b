package orders

import (
	"strconv"
	"strings"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// use says what a column is for.
type use uint8

const (
	useNothing use = iota // it names no ask
	useComment            // its name begins with #
	useID
	useTitle
	useOff
	useDate
	useAsk
)

// column is a name that rows give a value under. cell is the recipe's cell that takes the value; nil where it takes none.
type column struct {
	name     string
	use      use
	cell     *check.Cell
	near     string // the known name that an unknown one is near
	reported bool
}

// isKnown reports whether the column stands for something of an order.
func (c *column) isKnown() bool { return c.use >= useID }

// values turns fields into cells. What was read lately is kept, because orders are much alike.
type values struct {
	program *check.Program
	recipe  *check.Recipe
	columns map[string]*column
	recent  map[valueKey]value
}

type valueKey struct {
	index int
	text  string
}

type value struct {
	cell     *check.Cell
	problems []diag.Diagnostic
}

// maxRecent bounds what is kept, of values and of names of columns.
const maxRecent = 4096

// maxField is how many bytes one field may have.
const maxField = 1<<16 - 1

// Fields lie behind every source of a book, each ask's at a place of its own, so that a problem's place tells its field.
const (
	fieldsFrom  diag.Pos = 1 << 31
	fieldStride          = 16
)

func isField(at diag.Span) bool { return at.Start >= fieldsFrom }

// fieldOf gives the index of the cell whose field a place lies in, and how far into it.
func fieldOf(at diag.Span) (index, into int) {
	rest := at.Start - fieldsFrom
	return int(rest >> fieldStride), int(rest & maxField)
}

func newValues(p *check.Program, recipe *check.Recipe) *values {
	v := &values{program: p, recipe: recipe, recent: map[valueKey]value{}}
	v.columns = map[string]*column{
		"order": {name: "order", use: useID},
		"title": {name: "title", use: useTitle},
		"off":   {name: "off", use: useOff, cell: recipe.Cells[check.OffIndex]},
		"date":  {name: "date", use: useDate, cell: recipe.Cells[check.DateIndex]},
	}
	for _, ask := range recipe.Asks {
		v.columns[ask.Name] = &column{name: ask.Name, use: useAsk, cell: ask}
	}
	return v
}

// column finds what a name stands for. Names that stand for nothing are remembered, so that each is reported once.
func (v *values) column(name string) *column {
	name = strings.TrimSpace(name)
	if c := v.columns[name]; c != nil {
		return c
	}
	c := &column{name: name}
	switch {
	case name == "" || strings.HasPrefix(name, "#"):
		c.use = useComment
	default:
		c.near = check.Nearest(name, v.known())
	}
	if len(v.columns) < maxRecent {
		v.columns[name] = c
	}
	return c
}

func (v *values) known() []string {
	names := []string{"order", "title", "off", "date"}
	for _, ask := range v.recipe.Asks {
		names = append(names, ask.Name)
	}
	return names
}

// value reads a field as a formula of the language, for the kind that a cell wants.
func (v *values) value(cell *check.Cell, text string) (*check.Cell, []diag.Diagnostic) {
	key := valueKey{cell.Index, text}
	if have, ok := v.recent[key]; ok {
		return have.cell, have.problems
	}
	read := v.read(cell, text)
	if len(v.recent) >= maxRecent {
		clear(v.recent)
	}
	v.recent[key] = read
	return read.cell, read.problems
}

func (v *values) read(cell *check.Cell, text string) value {
	var problems diag.List
	base := fieldsFrom + diag.Pos(cell.Index)<<fieldStride
	at := diag.Span{Start: base, End: base + 1}
	if len(text) > maxField {
		problems.Error("field-too-long", at, "a value is at most 65,535 bytes long")
		return value{problems: problems.All()}
	}
	if cell.Type.Base == check.Text {
		text = quoted(text)
	}
	tree, tolerance := lang.ParseGiven(&diag.Source{Text: text, Base: base}, &problems)
	if problems.HasErrors() {
		return value{problems: problems.All()}
	}
	given := v.program.CheckValue(cell, tree, &problems)
	given.Tolerance = v.program.CheckTolerance(tolerance, cell.Type, &problems)
	if !problems.HasErrors() {
		v.plain(cell, given, at, &problems)
	}
	return value{given, problems.All()}
}

// plain reports a date that is none, and a number of pieces that is not a whole number from 1 up.
func (v *values) plain(cell, given *check.Cell, at diag.Span, problems *diag.List) {
	k, fixed := given.Expr.(*check.Const)
	switch cell.Index {
	case check.DateIndex:
		if !fixed {
			problems.Error("kind-mismatch", at, "an order's date is a date").Fix("2026-04-02")
		}
	case check.OffIndex:
		if !fixed || !isWhole(k) {
			problems.Error("off-none", at, "an order makes a whole number of one or more")
		}
		if given.Tolerance != nil {
			problems.Error("tolerance-misplaced", at, "how many are made has no tolerance").Fix("leave out tolerance")
		}
	}
}

func isWhole(k *check.Const) bool {
	n, ok := k.Value.Num.Int64()
	return ok && n >= 1
}

func dayOf(k *check.Const) int64 {
	if k == nil {
		return 0
	}
	day, _ := k.Value.Num.Int64()
	return day
}

// quoted makes a text of the language out of plain words; one that is in quotes already stays as it is.
func quoted(text string) string {
	if len(text) >= 2 && strings.HasPrefix(text, `"`) && strings.HasSuffix(text, `"`) {
		return text
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, `{`, `\{`, "\n", `\n`).Replace(text) + `"`
}

func lineID(line int) string { return "line " + strconv.Itoa(line) }

// clip shortens what a file holds for a message.
func clip(s string) string {
	const most = 40
	if r := []rune(s[:min(len(s), 4*(most+1))]); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
