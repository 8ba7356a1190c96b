package lang

func (r *reader) rule(s *section) Decl {
	g, ok := read(r, r.grammar.rule, s.head)
	d := &RuleDecl{At: r.whole(s), Params: r.paramsOf(g.Params), Kind: g.Kind.ref}
	if d.Body = r.ruleBody(s, g.Formula, &g.reasons); d.Body == nil {
		d.Why = g.why()
	}
	if !ok && d.Body == nil {
		d.Body = &Body{At: d.At, Formula: &Bad{At: d.At}}
	}
	name, named := r.declared(&g.Name)
	if d.Name = name; !named {
		return nil
	}
	return d
}

func (r *reader) amendment(s *section) Decl {
	g, ok := read(r, r.grammar.amend, s.head)
	d := g.amendment()
	d.At = r.whole(s)
	d.Body = r.ruleBody(s, g.Formula, &g.reasons)
	if ok && d.Body == nil {
		r.missingAfter(s.head, "amend-without-formula", `"=" and a formula, or cases in braces,`)
	}
	if d.Body == nil {
		d.Body = &Body{At: d.At, Formula: &Bad{At: d.At}}
	}
	if g.Name.Type == 0 {
		return nil
	}
	return d
}

func (g *amendSyntax) amendment() *AmendDecl {
	return &AmendDecl{Name: nameOf(&g.Name), Params: namesOf(g.Params), Window: g.window()}
}

// ruleBody gives the formula of a head or the cases of a body; nil where there is neither.
func (r *reader) ruleBody(s *section, formula Expr, g *reasons) *Body {
	if formula == nil {
		return r.cases(s)
	}
	r.refuseBody(s, true)
	b := &Body{Formula: formula, Why: g.why()}
	b.At = b.Why.end(formula.Span())
	return b
}

func (r *reader) cases(s *section) *Body {
	if s.brace == 0 && len(s.lines) == 0 {
		return nil
	}
	b := &Body{}
	if s.brace > 0 {
		b.At = spanOf(&r.tokens[s.brace])
	}
	for _, line := range s.lines {
		r.caseOrLocal(b, line)
		b.At = b.At.To(r.spanOf(line))
	}
	if s.close > 0 {
		b.At = b.At.To(spanOf(&r.tokens[s.close]))
		r.wantCases(b, s)
	}
	return b
}

func (r *reader) wantCases(b *Body, s *section) {
	if len(b.Cases) == 0 && !r.faulty(b.At) && r.allLocals(s) {
		r.problem("cases-missing", spanOf(&r.tokens[s.close]), "the rule has no case that gives its value").
			Fix("end it with: FORMULA otherwise")
	}
}

func (r *reader) allLocals(s *section) bool {
	for _, line := range s.lines {
		if !r.isLocal(line) {
			return false
		}
	}
	return true
}

// isLocal reports whether a line is a cell of the rule: `name = formula`, without a when that makes it a comparison.
func (r *reader) isLocal(line stretch) bool {
	if line.to-line.from < 2 || r.tokens[line.from].Type != identToken || r.tokens[line.from+1].Type != equalToken {
		return false
	}
	for _, t := range r.tokens[line.from:line.to] {
		if t.Type == keywordToken && (t.Value == "when" || t.Value == "otherwise") {
			return false
		}
	}
	return true
}

func (r *reader) caseOrLocal(b *Body, line stretch) {
	if r.isLocal(line) {
		if c := r.cell(line); c != nil {
			b.Locals = append(b.Locals, c)
		}
		return
	}
	g, _ := read(r, r.grammar.cases, line)
	if g.Value == nil {
		return
	}
	c := &Case{At: r.spanOf(line), Value: g.Value, When: g.When, Otherwise: g.Otherwise, Why: g.why()}
	if c.When == nil && !c.Otherwise {
		c.When = &Bad{At: c.At}
	}
	b.Cases = append(b.Cases, c)
}

func (r *reader) table(s *section) Decl {
	g, ok := read(r, r.grammar.table, s.head)
	d := &TableDecl{At: r.whole(s), Amend: g.Amend, Params: r.paramsOf(g.Params), Hit: nameOrNone(g.Hit), Window: g.window()}
	if g.Kind != nil {
		d.Kind = g.Kind.ref
	}
	r.refuseWindow(g.Amend, &g.windowSyntax)
	if ok {
		r.tableForm(s, g)
	}
	r.wantBody(s, ok)
	r.rows(s, d)
	name, named := r.declared(&g.Name)
	if d.Name = name; !named {
		return nil
	}
	return d
}

// tableForm reports a new table without a kind, and an amendment with parameters or a kind.
func (r *reader) tableForm(s *section, g *tableSyntax) {
	switch {
	case !g.Amend && g.Kind == nil:
		r.missingAfter(s.head, "colon-expected", `":" and the kind of what the table gives`)
	case g.Amend && (g.Kind != nil || len(g.Params) > 0 || g.Hit != nil):
		r.problem("amend-form", r.spanOf(s.head), "an amendment of a table has rows alone: its parameters and its kind stay").
			Fix("write: amend table " + g.Name.Value)
	}
}

func (r *reader) rows(s *section, d *TableDecl) {
	if len(s.lines) == 0 {
		if s.close > 0 {
			r.problem("heading-missing", spanOf(&r.tokens[s.close]), "the table has no heading").
				Fix("its first line names the parameters and gives: cord | gives")
		}
		return
	}
	d.Heading = r.heading(s.lines[0])
	for _, line := range s.lines[1:] {
		if row := r.row(d.Heading, line); row != nil {
			d.Rows = append(d.Rows, row)
		}
	}
}

func (r *reader) heading(line stretch) []Name {
	g, ok := read(r, r.grammar.heading, line)
	var names []Name
	seen := map[string]bool{}
	for _, h := range g.Names {
		name := nameOf(&h.Name)
		if seen[name.Text] {
			r.problem("heading-twice", name.At, `the heading names "`+name.Text+`" twice`)
		}
		seen[name.Text] = true
		names = append(names, name)
	}
	if ok && !seen["gives"] {
		r.missingAfter(line, "heading-without-gives", `the column "gives"`)
	}
	if !ok && !seen["gives"] {
		return nil
	}
	return names
}

func (r *reader) row(heading []Name, line stretch) *Row {
	g, ok := read(r, r.grammar.row, line)
	if !ok || heading == nil {
		return nil
	}
	row := &Row{At: r.spanOf(line), Tests: make([]*Test, len(heading))}
	for i, f := range g.Fields {
		if i >= len(heading) {
			r.surplus(f)
			break
		}
		r.rowField(row, heading[i], i, f.test)
	}
	if !r.fullRow(row, heading, line) {
		return nil
	}
	return row
}

func (r *reader) surplus(f *fieldSyntax) {
	if f.test != nil {
		r.problem("row-too-long", f.test.At, "the row has more fields than the heading has names")
	}
}

func (r *reader) rowField(row *Row, name Name, i int, test *Test) {
	if test == nil {
		return
	}
	switch name.Text {
	case "gives":
		row.Gives = r.oneValue(test)
	case "because":
		row.Because = r.quoted(test, "a reason")
	case "source":
		row.Source = r.quoted(test, "a source")
	default:
		row.Tests[i] = test
	}
}

func (r *reader) oneValue(test *Test) Expr {
	if len(test.Values) == 1 {
		return test.Values[0]
	}
	r.problem("gives-one-value", test.At, "under gives stands one formula")
	return &Bad{At: test.At}
}

func (r *reader) quoted(test *Test, what string) *Quote {
	if len(test.Values) == 1 {
		if text, ok := test.Values[0].(*TextExpr); ok && len(text.Parts) <= 1 {
			return plainQuote(text)
		}
	}
	r.problem("text-expected", test.At, what+" is a plain text in quotation marks")
	return nil
}

func plainQuote(t *TextExpr) *Quote {
	q := &Quote{At: t.At}
	if len(t.Parts) == 1 {
		q.Value = t.Parts[0].Plain
	}
	return q
}

// fullRow reports fields that are empty though they must not be.
func (r *reader) fullRow(row *Row, heading []Name, line stretch) bool {
	for i, name := range heading {
		test := name.Text != "gives" && name.Text != "because" && name.Text != "source"
		if test && row.Tests[i] == nil {
			r.missingAfter(line, "field-empty", `a field for "`+name.Text+`"`).Fix("a test that every value meets is written any")
			return false
		}
		if name.Text == "gives" && row.Gives == nil {
			r.missingAfter(line, "row-without-gives", "what the row gives").Fix("a row needs a value under gives")
			return false
		}
	}
	return true
}
