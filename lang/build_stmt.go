package lang

// cells reads a body that is cells alone.
func (r *reader) cells(s *section) []*Cell {
	var cells []*Cell
	for _, line := range s.lines {
		if c, ok := r.statement(line).(*Cell); ok {
			cells = append(cells, c)
		}
	}
	return cells
}

func (r *reader) statements(s *section) []Stmt {
	var all []Stmt
	for _, line := range s.lines {
		all = r.addStatement(all, line)
	}
	return all
}

func (r *reader) addStatement(all []Stmt, line stretch) []Stmt {
	if stmt := r.statement(line); stmt != nil {
		return append(all, stmt)
	}
	return all
}

// belongs reports whether a statement has a place in the body of a declaration.
func belongs(statement, declaration string) bool {
	switch statement {
	case "amend":
		return declaration == "order" || declaration == "proof"
	case "make":
		return declaration == "order" || declaration == "proof"
	case "expect":
		return declaration == "proof"
	case "charge":
		return declaration == "price" || declaration == "recipe"
	}
	return declaration == "recipe"
}

// make is not among them: it stands apart from its order's other lines.
var statementReaders = map[string]func(*reader, stretch) Stmt{
	"ask": (*reader).ask, "need": (*reader).need, "piece": (*reader).piece, "marks": (*reader).marks, "use": (*reader).use,
	"work": (*reader).work, "charge": (*reader).charge, "step": (*reader).step, "caution": (*reader).cautions, "part": (*reader).part,
	"expect": (*reader).expect, "amend": (*reader).amendStatement,
}

// statement reads one line; nil where it could not be read so far that it has a name.
func (r *reader) statement(line stretch) Stmt {
	t := &r.tokens[line.from]
	switch {
	case t.Type == identToken:
		if c := r.cell(line); c != nil {
			return c
		}
		return nil
	case !isStatementWord(t.Value):
		r.strayLine(line)
	case line.to > line.from+1 && r.namesCell(line):
		r.keywordAsName(t)
	case !belongs(t.Value, r.word):
		r.misplaced(line)
	default:
		return statementReaders[t.Value](r, line)
	}
	r.skip()
	return nil
}

// namesCell reports whether a line that begins with a keyword was meant as a cell of that name.
func (r *reader) namesCell(line stretch) bool {
	next := r.tokens[line.from+1].Type
	return next == equalToken || next == colonToken
}

func (r *reader) ask(line stretch) Stmt {
	g, ok := read(r, r.grammar.ask, line)
	if g.Param.Name.Type == 0 {
		return nil
	}
	ask := &Ask{*r.fillParam(g.Param.param(), line, ok)}
	ask.At = r.spanOf(line)
	return ask
}

func (r *reader) need(line stretch) Stmt {
	g, ok := read(r, r.grammar.need, line)
	message := r.text(g.Else, ok, "the message after else")
	if message == nil {
		return nil
	}
	return &Need{At: r.spanOf(line), Cond: g.Cond, Else: message}
}

func (r *reader) amendStatement(line stretch) Stmt {
	g, ok := read(r, r.grammar.amend, line)
	if !ok || g.Formula == nil {
		if ok {
			r.missingAfter(line, "amend-without-formula", `"=" and a formula`)
		}
		return nil
	}
	d := g.amendment()
	d.At = r.spanOf(line)
	d.Body = r.ruleBody(&section{}, g.Formula, &g.reasons)
	return d
}

func (r *reader) expect(line stretch) Stmt {
	g, ok := read(r, r.grammar.expect, line)
	if !ok {
		return nil
	}
	e := &Expect{At: r.spanOf(line), Left: g.Left}
	if b, ok := g.Left.(*Binary); ok && b.Op == Eq {
		e.Left, e.Want = b.X, b.Y
	}
	return e
}

func (r *reader) cell(line stretch) *Cell {
	g, ok := read(r, r.grammar.cell, line)
	if g.Name.Type == 0 || !ok && g.Value == nil && !r.namesCell(line) {
		return nil
	}
	if r.word != "material" && r.word != "order" && r.word != "proof" {
		r.refuseTolerance(g.Tolerance)
	}
	return &Cell{At: r.spanOf(line), Name: nameOf(&g.Name), Value: r.must(g.Value, line), Tolerance: g.Tolerance.tolerance(), Why: g.why()}
}

// refuseTolerance reports a tolerance of what is worked out or is no size.
func (r *reader) refuseTolerance(g *toleranceSyntax) {
	if t := g.tolerance(); t != nil {
		r.problem("tolerance-misplaced", t.At, "only an ask, a field of a material and what an order gives have a tolerance").
			Fix("give it to what this rests on: the ask or the field")
	}
}

func (r *reader) refuseTolerances(cells []*cellSyntax) {
	for _, g := range cells {
		r.refuseTolerance(g.Tolerance)
	}
}

// part reads a part; one that could not be read whole keeps its name alone, so that nothing is missed in it.
func (r *reader) part(line stretch) Stmt {
	g, ok := read(r, r.grammar.part, line)
	switch {
	case g.Name.Type == 0:
		return nil
	case !ok:
		return &Part{At: r.spanOf(line), Name: nameOf(&g.Name)}
	}
	r.refuseTolerances(g.Cells)
	return &Part{At: r.spanOf(line), Name: nameOf(&g.Name), Off: g.Off, Recipe: nameOf(&g.Recipe), Cells: cellsOf(g.Cells)}
}

func (r *reader) piece(line stretch) Stmt {
	g, _ := read(r, r.grammar.piece, line)
	if g.Name.Type == 0 {
		return nil
	}
	r.refuseTolerances(g.Options)
	return &Piece{
		At: r.spanOf(line), Name: nameOf(&g.Name), Material: r.must(g.Material, line), Off: g.Off, Size: r.must(g.Size, line),
		Why: g.why(), When: g.When, Options: cellsOf(g.Options),
	}
}

func (r *reader) marks(line stretch) Stmt {
	g, _ := read(r, r.grammar.marks, line)
	if g.Name.Type == 0 {
		return nil
	}
	r.refuseTolerances(g.Options)
	return &Marks{
		At: r.spanOf(line), Name: nameOf(&g.Name), On: namesOf(g.On), Points: r.must(g.Points, line),
		Why: g.why(), When: g.When, Options: cellsOf(g.Options),
	}
}

func (r *reader) use(line stretch) Stmt {
	g, ok := read(r, r.grammar.use, line)
	if !ok {
		return nil
	}
	return &Use{At: r.spanOf(line), Need: g.Need, Material: g.Material, Why: g.why(), When: g.When}
}

func (r *reader) work(line stretch) Stmt {
	g, _ := read(r, r.grammar.work, line)
	if g.Name.Type == 0 {
		return nil
	}
	return &Work{
		At: r.spanOf(line), Name: nameOf(&g.Name), Rate: g.Rate, Time: r.must(g.Time, line), Setup: g.Setup,
		Why: g.why(), When: g.When,
	}
}

func (r *reader) charge(line stretch) Stmt {
	g, _ := read(r, r.grammar.charge, line)
	if g.Name.Type == 0 {
		return nil
	}
	return &Charge{At: r.spanOf(line), Name: nameOf(&g.Name), Value: r.must(g.Value, line), Why: g.why(), When: g.When}
}

func (r *reader) step(line stretch) Stmt {
	g, ok := read(r, r.grammar.step, line)
	text := r.text(g.Text, ok, "a step")
	if !ok || text == nil {
		return nil
	}
	return &Step{At: r.spanOf(line), Text: text, When: g.When}
}

func (r *reader) cautions(line stretch) Stmt {
	g, ok := read(r, r.grammar.cautions, line)
	if !ok {
		return nil
	}
	return &Cautions{At: r.spanOf(line), Names: namesOf(g.Names), When: g.When}
}
