package check

import (
	"slices"
	"strings"

	"squab/lang"
	"squab/lang/diag"
)

// pieceTree keeps a piece beside its statement until every name of the recipe is known.
type pieceTree struct {
	piece *Piece
	stmt  *lang.Piece
	named bool // its sizes have their cells
}

// piece makes the cells that a piece's statement shows; what depends on its material waits for finishPieces.
func (b *recipeBuilder) piece(s *lang.Piece) {
	name := s.Name.Text
	if !b.group(s.Name) {
		b.aside(s.Material, s.Size, s.Off, s.When)
		return
	}
	p := &Piece{At: s.At, Name: name}
	b.r.pieces[name] = p
	p.Material = b.hidden(name+" from", s.Material, Type{}, "a material")
	if p.Material == nil {
		return
	}
	t := pieceTree{piece: p, stmt: s}
	if by, ok := unwrap(s.Size).(*lang.Binary); ok && by.Op == lang.By {
		p.Wide = b.given(name+".wide", s.Name.At, by.X, LengthType(), s.Why)
		p.Deep = b.given(name+".deep", s.Name.At, by.Y, LengthType(), s.Why)
		t.named = true
	}
	b.countOf(p, s)
	p.When = b.when(name, s.When)
	for _, o := range s.Options {
		b.option(p, o)
	}
	b.pieces = append(b.pieces, t)
}

// finishPieces settles what each piece is cut from.
func (b *recipeBuilder) finishPieces() {
	for _, t := range b.pieces {
		p := t.piece
		b.c.settle(p.Material)
		p.Material.Type = p.Material.Expr.Type()
		if !b.isMaterial(p.Material, t.stmt.Material) {
			b.unsized(t)
			continue
		}
		p.Form = p.Material.Type.Kind.Form
		b.optionsFit(t)
		if b.sizes(t) && p.Wide != nil {
			b.r.Pieces = append(b.r.Pieces, p)
		}
	}
}

// unsized checks the size of a piece of which nothing tells the form; its cells are then unknown.
func (b *recipeBuilder) unsized(t pieceTree) {
	if !t.named {
		b.hidden(t.piece.Name+" size", t.stmt.Size, Type{}, "its size")
		b.r.lost[t.piece.Name] = true
	}
}

// sizes makes the cells of a size that is one formula, or of a stick's length, and reports what the form cannot be.
func (b *recipeBuilder) sizes(t pieceTree) bool {
	p, s := t.piece, t.stmt
	switch {
	case p.Form == Supply:
		b.c.fail("piece-of-supply", s.Material.Span(), "pieces are cut from a roll, a sheet or a stick, and %s is a supply", materialName(s.Material)).Fix("write: use … of " + materialName(s.Material))
		b.unsized(t)
		return false
	case p.Form == Stick && t.named:
		b.c.fail("piece-form", s.Size.Span(), "a piece of a stick has a length only, and this is a size").Note(p.Material.Type.Kind.At, "the kind is a stick").Fix("write one length")
		return false
	case p.Form == Stick:
		p.Wide = b.given(p.Name+".long", s.Name.At, s.Size, LengthType(), s.Why)
	case !t.named:
		b.oneSize(p, s)
	}
	return true
}

// oneSize is for a size that is one formula: it is worked out once, and its two parts are cells that read it.
func (b *recipeBuilder) oneSize(p *Piece, s *lang.Piece) {
	whole := b.given(p.Name+".size", s.Name.At, s.Size, size, s.Why)
	if whole == nil {
		return
	}
	p.Wide = b.partOfSize(p, whole, 0, "wide")
	p.Deep = b.partOfSize(p, whole, 1, "deep")
}

func unwrap(e lang.Expr) lang.Expr {
	for {
		p, ok := e.(*lang.Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}

func (b *recipeBuilder) partOfSize(p *Piece, whole *Cell, item int, name string) *Cell {
	length := LengthType()
	cell := &Cell{Name: p.Name + "." + name, At: whole.At, Type: length, Why: whole.Why, Source: whole.Source}
	cell.Expr = &ItemOf{base{whole.At, length}, &CellRef{base{whole.At, size}, whole, nil, InRecipe}, item, name}
	b.add(cell)
	return cell
}

// countOf makes the cell of how many of a piece one make takes.
func (b *recipeBuilder) countOf(p *Piece, s *lang.Piece) {
	off := s.Off
	if off == nil {
		off = &lang.Measure{At: s.Name.At, Parts: []lang.MeasurePart{{Number: "1", At: s.Name.At}}}
	}
	p.Count = b.given(p.Name+".count", off.Span(), off, count, lang.Why{})
	if s.Off == nil {
		implied(p.Count)
	}
}

// optionForms says which forms each option of a piece is for.
var optionForms = map[string][]Form{
	"up": {Roll, Sheet}, "turn": {Roll, Sheet}, "match": {Roll}, "join": {Roll}, "panels": {Roll}, "bias": {Roll}, "mitre": {Stick},
}

// optionsFit reports options that the form of the material cannot have.
func (b *recipeBuilder) optionsFit(t pieceTree) {
	form := t.piece.Form
	for _, o := range t.stmt.Options {
		forms := optionForms[o.Name.Text]
		if forms == nil || form == Supply || slices.Contains(forms, form) {
			continue
		}
		f := b.c.fail("option-form", o.Name.At, "%s is for pieces of a %s, and %s is cut from a %s", o.Name.Text, listed(forms), t.piece.Name, form).
			Note(t.piece.Material.Type.Kind.At, "the kind is a "+string(form))
		f.Fix(optionHelp(o.Name.Text, form))
	}
}

func listed(forms []Form) string {
	if len(forms) == 1 {
		return string(forms[0])
	}
	return string(forms[0]) + " or a " + string(forms[1])
}

func optionHelp(option string, form Form) string {
	switch {
	case option == "join" && form == Sheet:
		return "cut it as two pieces that the recipe joins, or from a larger sheet"
	case option == "join" && form == Stick:
		return "a stick that may be joined says so itself: joins = yes in the material"
	}
	return "leave it out"
}

func (b *recipeBuilder) option(p *Piece, o *lang.Cell) {
	switch o.Name.Text {
	case "up":
		p.UpWide = b.optionWord(o, "up is the dimension that runs along the roll", "wide", "deep") == "wide"
	case "face":
		p.Face = b.optionWord(o, "face is where the piece lies in the stack", "above", "below", "both")
	case "panels":
		p.SideBySide = b.optionWord(o, "panels says how a joined piece is made up", "centred", "side_by_side") == "side_by_side"
	case "turn":
		p.Turn = b.hidden(p.Name+" turn", o.Value, yesNo, "turn")
	case "match":
		p.Match = b.hidden(p.Name+" match", o.Value, point, "match")
	case "join":
		p.Join = b.hidden(p.Name+" join", o.Value, LengthType(), "join")
	case "bias":
		p.Bias = b.hidden(p.Name+" bias", o.Value, LengthType(), "bias")
	case "mitre":
		p.Mitre = b.hidden(p.Name+" mitre", o.Value, LengthType(), "mitre")
	case "beneath":
		p.Beneath = b.atEdge(p, o)
	case "side":
		p.Side = b.atEdge(p, o)
	case "welt":
		p.Welt = b.atEdge(p, o)
	default:
		b.c.unknown("option of a piece", o.Name, these("beneath", "bias", "face", "join", "match", "mitre", "panels", "side", "turn", "up", "welt"))
	}
}

// atEdge makes the cell of an option that says how a piece lies at the edge.
func (b *recipeBuilder) atEdge(p *Piece, o *lang.Cell) *Cell {
	return b.given(p.Name+"."+o.Name.Text, o.Name.At, o.Value, LengthType(), o.Why)
}

// optionWord reads an option that is one of a few words; "" where it is none.
func (b *recipeBuilder) optionWord(o *lang.Cell, meaning string, words ...string) string {
	if _, unread := o.Value.(*lang.Bad); unread {
		return ""
	}
	if id, ok := o.Value.(*lang.Ident); ok && slices.Contains(words, id.Text) {
		return id.Text
	}
	fixes := make([]string, len(words))
	for i, w := range words {
		fixes[i] = o.Name.Text + " = " + w
	}
	b.c.fail("option-value", o.Value.Span(), "%s", meaning).Fix(strings.Join(fixes, ", or "))
	return ""
}

func (b *recipeBuilder) marks(s *lang.Marks) {
	m := &Marks{At: s.At, Name: s.Name.Text}
	m.Points = b.given(s.Name.Text, s.Name.At, s.Points, listOf(point), s.Why)
	m.When = b.when(s.Name.Text, s.When)
	for _, o := range s.Options {
		b.marksOption(m, o)
	}
	if m.Points != nil {
		b.r.Marks = append(b.r.Marks, m)
		b.marksOn = append(b.marksOn, s.On)
	}
}

func (b *recipeBuilder) marksOption(m *Marks, o *lang.Cell) {
	if o.Name.Text != "hole" {
		b.c.unknown("option of marks", o.Name, these("hole"))
		return
	}
	b.r.groups[m.Name] = true
	m.Hole = b.given(m.Name+".hole", o.Name.At, o.Value, LengthType(), o.Why)
}

// finishMarks finds the pieces that marks lie on.
func (b *recipeBuilder) finishMarks() {
	for i, m := range b.r.Marks {
		for _, on := range b.marksOn[i] {
			b.markOn(m, on)
		}
	}
}

func (b *recipeBuilder) markOn(m *Marks, on lang.Name) {
	switch p := b.r.pieces[on.Text]; {
	case p == nil:
		b.c.unknown("piece", on, namesOf(b.r.pieces))
	case p.Form == Stick:
		b.c.fail("marks-on-stick", on.At, "%s has a length only, and marks lie on a face", on.Text).Note(p.At, "the piece").Fix("mark a piece of a roll or a sheet")
	case p.Deep != nil:
		m.On = append(m.On, p)
	}
}

// part puts another recipe inside this one.
func (b *recipeBuilder) part(s *lang.Part) {
	sub := b.subRecipe(s)
	if sub == nil {
		b.r.lost[s.Name.Text] = true
	}
	if sub == nil || !b.free(s.Name) {
		b.aside(s.Off)
		for _, given := range s.Cells {
			b.aside(given.Value)
		}
		return
	}
	p := &Part{At: s.At, Name: s.Name.Text, Recipe: sub, Given: map[int]*Cell{}}
	b.r.parts[p.Name] = p
	b.r.Parts = append(b.r.Parts, p)
	b.partOff(p, s)
	for _, given := range s.Cells {
		b.giveAsk(p, given)
	}
	b.c.missingAsks(sub, p.Given, s.Recipe, s.At)
}

// The bounds of recipes laid out with all their parts: each of them, and all together.
const (
	mostParts    = 100 // within each other
	mostSlots    = 100_000
	mostAllSlots = 2_000_000
)

// subRecipe checks the recipe that a part is made by; nil where it cannot be one.
func (b *recipeBuilder) subRecipe(s *lang.Part) *Recipe {
	sub := b.c.recipes[s.Recipe.Text]
	if sub == nil {
		b.c.unknown("recipe", s.Recipe, namesOf(b.c.recipes))
		return nil
	}
	b.c.recipe(sub)
	if sub.state == checking {
		b.c.fail("recipe-cycle", s.Recipe.At, "%s is made from itself", sub.Name).Note(sub.At, "declared here").Fix("a part must be another recipe")
		return nil
	}
	if sub.tooLarge {
		b.r.tooLarge = true
		return nil
	}
	b.r.depth = max(b.r.depth, sub.depth+1)
	b.r.extent += sub.Size
	b.c.slots += sub.Size
	if b.r.depth > mostParts || b.r.extent > mostSlots || b.c.slots > mostAllSlots {
		b.r.tooLarge = true
		b.c.fail("recipe-too-large", s.Recipe.At, "%s with all its parts has more cells than a recipe can", b.r.Name).Note(sub.At, "the part's recipe").Fix("make it from fewer parts")
		return nil
	}
	return sub
}

// partOff multiplies how many the part's recipe makes by how many of the part there are.
func (b *recipeBuilder) partOff(p *Part, s *lang.Part) {
	own := &CellRef{base{s.Name.At, count}, b.r.Cells[OffIndex], nil, InRecipe}
	off := &Cell{Name: p.Name + ".off", At: s.Name.At, Type: count, Expr: own}
	if s.Off != nil {
		n := b.c.formula(s.Off, b.sc, count, "how many of "+p.Name)
		off.Expr = &Binary{base{s.Off.Span(), count}, lang.Mul, own, n}
	}
	p.Given[OffIndex] = off
	day := &CellRef{base{s.Name.At, date}, b.r.Cells[DateIndex], nil, InRecipe}
	p.Given[DateIndex] = &Cell{Name: p.Name + ".date", At: s.Name.At, Type: date, Expr: day}
}

func (b *recipeBuilder) giveAsk(p *Part, given *lang.Cell) {
	ask := b.c.askOf(p.Recipe, given.Name)
	if ask == nil {
		b.aside(given.Value)
		return
	}
	if before := p.Given[ask.Index]; before != nil {
		b.c.fail("ask-twice", given.Name.At, "%s is given twice", ask.Name).Note(before.At, "first here").Fix("take one out")
		return
	}
	cell := &Cell{Name: p.Name + "." + ask.Name, At: given.Name.At, Type: ask.Type, From: ask.From, To: ask.To, Why: why(given.Why), Source: given.Value}
	b.c.await(cell, given.Value, &ask.Type, b.sc, cell.Name)
	p.Given[ask.Index] = cell
}

// askOf finds the ask that an order or a part gives.
func (c *checker) askOf(r *Recipe, name lang.Name) *Cell {
	cell := r.byName[name.Text]
	switch {
	case cell == nil:
		c.unknown("ask of "+r.Name, name, r.askNames).Note(r.At, "the recipe")
		return nil
	case cell.Index <= DateIndex:
		c.fail("ask-is-cell", name.At, "%s is not asked by %s: every recipe has it", name.Text, r.Name).Fix("how many are made stands after the recipe: … , 2 off; an order's day is: date = 2026-04-02")
		return nil
	case cell.Role != AskCell:
		c.fail("ask-is-cell", name.At, "%s of %s is worked out, not asked", name.Text, r.Name).Note(cell.At, "its formula is here").Fix("amend a rule that it rests on, or make it an ask")
		return nil
	}
	return cell
}

func (r *Recipe) askNames() []string {
	var all []string
	for _, a := range r.Asks {
		all = append(all, a.Name)
	}
	slices.Sort(all)
	return all
}

// missingAsks reports asks that have no default and were not given; what could not be read may be what is missing.
func (c *checker) missingAsks(r *Recipe, given map[int]*Cell, at lang.Name, within diag.Span) {
	if c.spoiled(within) {
		return
	}
	for _, a := range r.Asks {
		if given[a.Index] == nil && a.Expr == nil && c.pending[a] == nil {
			help := ""
			if a.Help != "" {
				help = " (" + a.Help + ")"
			}
			c.fail("ask-missing", at.At, "%s asks for %s%s", r.Name, a.Name, help).Note(a.At, "asked here, without a default").Fix("add: " + a.Name + " = " + exampleOf(a.Type))
		}
	}
}
