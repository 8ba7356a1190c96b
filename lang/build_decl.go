package lang

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"

	"squab/lang/diag"
)

var declarationReaders = map[string]func(*reader, *section) Decl{
	"shop": (*reader).shop, "unit": (*reader).unit, "choice": (*reader).choice, "kind": (*reader).kind, "material": (*reader).material,
	"rule": (*reader).rule, "amend": (*reader).amendment, "table": (*reader).table, "recipe": (*reader).recipe, "price": (*reader).price,
	"caution": (*reader).caution, "order": (*reader).order, "proof": (*reader).proof,
}

// declaration reads one section; nil where not even what it declares could be read.
func (r *reader) declaration(s *section) Decl {
	r.begin(s)
	if read := declarationReaders[s.word]; read != nil {
		return read(r, s)
	}
	r.strayProblem(s.head)
	return nil
}

// declared gives the name that a head declares, and whether there is one that may be declared.
func (r *reader) declared(t *lexer.Token) (Name, bool) {
	if t.Type == 0 {
		return Name{}, false
	}
	if isReserved(t.Value) {
		r.keywordAsName(t)
	}
	return nameOf(t), true
}

// wantBody reports a declaration that has no body but must have one.
func (r *reader) wantBody(s *section, headRead bool) {
	if headRead && s.brace == 0 && len(s.lines) == 0 {
		r.missingAfter(s.head, "brace-missing", `"{"`).Fix("the lines of the declaration stand in braces")
	}
}

// refuseBody reports braces where none belong, and passes over what is in them.
func (r *reader) refuseBody(s *section, headRead bool) {
	if headRead && s.brace > 0 {
		r.problem("body-misplaced", spanOf(&r.tokens[s.brace]), `nothing in braces belongs to "`+r.word+`" here`)
	}
}

func (r *reader) missingAfter(at stretch, code, what string) *diag.Diagnostic {
	last := &r.tokens[at.to-1]
	end := endOf(last)
	return r.problem(code, diag.Span{Start: end, End: end}, what+" expected after "+shown(last))
}

func (r *reader) unit(s *section) Decl {
	g, ok := read(r, r.grammar.unit, s.head)
	r.refuseBody(s, ok)
	name, named := r.declared(&g.Name)
	if !named {
		return nil
	}
	return &UnitDecl{At: r.whole(s), Name: name, Value: r.must(g.Value, s.head), Why: g.why()}
}

func (r *reader) choice(s *section) Decl {
	g, ok := read(r, r.grammar.choice, s.head)
	r.refuseBody(s, ok)
	name, named := r.declared(&g.Name)
	if !named {
		return nil
	}
	return &ChoiceDecl{At: r.whole(s), Amend: g.Amend, Name: name, Title: quoteOf(g.Title), Options: namesOf(g.Options)}
}

func (r *reader) kind(s *section) Decl {
	g, ok := read(r, r.grammar.kindDecl, s.head)
	d := &KindDecl{At: r.whole(s), Amend: g.Amend, Form: nameOrNone(g.Form), Title: quoteOf(g.Title)}
	r.oneOfTwo(s, ok, g.Amend, g.Form, "form, such as roll, sheet, stick or supply")
	r.wantBody(s, ok)
	for _, line := range s.lines {
		if p, ok := read(r, r.grammar.param, line); p.Name.Type != 0 {
			field := p.param()
			d.Fields = append(d.Fields, r.fillParam(field, line, ok))
		}
	}
	name, named := r.declared(&g.Name)
	if d.Name = name; !named {
		return nil
	}
	return d
}

// oneOfTwo reports a new kind or material that does not say what it is, and an amendment that does.
func (r *reader) oneOfTwo(s *section, headRead, amend bool, given *lexer.Token, what string) {
	switch {
	case !headRead || amend == (given == nil):
	case amend:
		r.problem("amend-form", spanOf(given), "an amendment cannot change the "+what).Fix(`leave out ": ` + given.Value + `"`)
	default:
		r.missingAfter(stretch{s.head.from, s.head.from + 2}, "colon-expected", `":" and the `+what+`,`)
	}
}

func (r *reader) fillParam(p *Param, line stretch, read bool) *Param {
	if !read && p.Kind == nil {
		p.At = r.spanOf(line)
		p.Default = &Bad{At: p.At}
	}
	return p
}

func (r *reader) material(s *section) Decl {
	g, ok := read(r, r.grammar.material, s.head)
	d := &MaterialDecl{At: r.whole(s), Amend: g.Amend, Kind: nameOrNone(g.Kind), Title: quoteOf(g.Title), Window: g.window()}
	r.oneOfTwo(s, ok, g.Amend, g.Kind, "kind of the material")
	r.refuseWindow(g.Amend, &g.windowSyntax)
	r.wantBody(s, ok)
	d.Cells = r.cells(s)
	name, named := r.declared(&g.Name)
	if d.Name = name; !named {
		return nil
	}
	return d
}

// refuseWindow reports dates on what is not an amendment.
func (r *reader) refuseWindow(amend bool, w *windowSyntax) {
	given := w.From
	if given == nil {
		given = w.Until
	}
	if !amend && given != nil {
		r.problem("date-without-amend", spanOf(given), "only an amendment holds from or until a date").
			Fix("declare it without dates, and amend it from the date on")
	}
}

func (r *reader) shop(s *section) Decl {
	g, ok := read(r, r.grammar.shop, s.head)
	r.wantBody(s, ok)
	return &Shop{At: r.whole(s), Title: quoteOf(g.Title), Settings: r.cells(s)}
}

func (r *reader) recipe(s *section) Decl {
	g, ok := read(r, r.grammar.recipe, s.head)
	r.wantBody(s, ok)
	stmts := r.statements(s)
	name, named := r.declared(&g.Name)
	if !named {
		return nil
	}
	return &RecipeDecl{At: r.whole(s), Name: name, Title: quoteOf(g.Title), Stmts: stmts}
}

func (r *reader) price(s *section) Decl {
	_, ok := read(r, r.grammar.price, s.head)
	r.wantBody(s, ok)
	return &PriceDecl{At: r.whole(s), Stmts: r.statements(s)}
}

func (r *reader) caution(s *section) Decl {
	g, ok := read(r, r.grammar.caution, s.head)
	r.refuseBody(s, ok)
	d := &CautionDecl{At: r.whole(s), Text: r.text(g.Text, ok, "what a caution says"), Why: g.why()}
	if d.Text == nil {
		d.Text = &TextExpr{At: d.At}
	}
	name, named := r.declared(&g.Name)
	if d.Name = name; !named {
		return nil
	}
	return d
}

func (r *reader) order(s *section) Decl {
	g, ok := read(r, r.grammar.order, s.head)
	r.wantBody(s, ok)
	d := &OrderDecl{At: r.whole(s), ID: idOf(&g.ID), Title: quoteOf(g.Title)}
	d.Make, d.Stmts = r.made(s)
	if ok && s.brace > 0 && !r.hasMake(s) && !r.faulty(d.At) {
		r.problem("make-missing", r.spanOf(s.head), "the order does not say what it makes").Fix("add a line: make RECIPE")
	}
	if g.ID.Type == 0 {
		return nil
	}
	return d
}

func idOf(t *lexer.Token) Name {
	id := nameOf(t)
	if t.Type == textToken {
		id.Text = plainText(t.Value)
	}
	return id
}

func (r *reader) proof(s *section) Decl {
	g, ok := read(r, r.grammar.proof, s.head)
	r.wantBody(s, ok)
	d := &ProofDecl{At: r.whole(s), Source: quoteOf(g.Source)}
	d.Make, d.Stmts = r.made(s)
	if g.Title.Type == 0 {
		return nil
	}
	d.Title = *quoteOf(&g.Title)
	return d
}

func (r *reader) hasMake(s *section) bool {
	return slices.ContainsFunc(s.lines, func(line stretch) bool { return r.tokens[line.from].Value == "make" })
}

// made reads the body of an order or a proof, with its make apart.
func (r *reader) made(s *section) (made *Make, others []Stmt) {
	for _, line := range s.lines {
		if r.tokens[line.from].Value != "make" {
			others = r.addStatement(others, line)
			continue
		}
		m := r.make(line)
		if made != nil && m != nil {
			r.problem("make-twice", m.At, "a second recipe is made here").Note(made.At, "the first").
				Fix("give each recipe an order of its own, or join them with part in a recipe")
			continue
		}
		if m != nil {
			made = m
		}
	}
	return made, others
}

func (r *reader) make(line stretch) *Make {
	g, _ := read(r, r.grammar.makes, line)
	if g.Recipe.Type == 0 {
		return nil
	}
	return &Make{At: r.spanOf(line), Recipe: nameOf(&g.Recipe), Off: g.Off}
}
