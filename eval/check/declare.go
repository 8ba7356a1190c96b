package check

import (
	"slices"

	"squab/eval/quantity"
	"squab/lang"
	"squab/lang/diag"
)

// declare takes in every declaration of every file, names first, so that order in a file never matters.
func (c *checker) declare(parsed []*lang.File) {
	var shops []*lang.Shop
	var units []*lang.UnitDecl
	for _, f := range parsed {
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *lang.Shop:
				shops = append(shops, d)
			case *lang.UnitDecl:
				units = append(units, d)
			case *lang.ChoiceDecl:
				c.declareChoice(d)
			case *lang.KindDecl:
				c.declareKind(d)
			}
		}
	}
	c.declareUnits(units)
	c.declareShop(shops)
	c.declareWords(parsed)
	for _, f := range parsed {
		for _, d := range f.Decls {
			c.declareNamed(d)
		}
	}
	c.declareAmends(parsed)
}

// declareNamed takes in what may refer to choices and kinds in its heading.
func (c *checker) declareNamed(d lang.Decl) {
	switch d := d.(type) {
	case *lang.MaterialDecl:
		if !d.Amend {
			c.declareMaterial(d)
		}
	case *lang.RuleDecl:
		c.declareRule(d)
	case *lang.TableDecl:
		if !d.Amend {
			c.declareTable(d)
		}
	case *lang.RecipeDecl:
		c.declareRecipe(d)
	case *lang.CautionDecl:
		c.declareCaution(d)
	case *lang.PriceDecl:
		c.declarePrice(d)
	case *lang.OrderDecl:
		c.declareOrder(d)
	case *lang.ProofDecl:
		c.declareProof(d)
	}
}

// declareAmends takes in what changes something declared in any file.
func (c *checker) declareAmends(parsed []*lang.File) {
	for _, f := range parsed {
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *lang.AmendDecl:
				c.trees.amends = append(c.trees.amends, amendTree{decl: d})
			case *lang.TableDecl:
				if d.Amend {
					c.trees.tables = append(c.trees.tables, tableTree{decl: d})
				}
			case *lang.MaterialDecl:
				if d.Amend {
					c.trees.materials = append(c.trees.materials, materialTree{decl: d})
				}
			}
		}
	}
}

// fresh reports whether a name is free in its sort of names; if not, it says where it was declared before.
func (c *checker) fresh(sort string, name lang.Name, before definition, found bool) bool {
	if name.Text == "" {
		return false
	}
	if !found {
		return true
	}
	at := before.Place()
	if c.layer(at) == diag.Trade && c.layer(name.At) != diag.Trade {
		c.fail("name-of-trade", name.At, "%s %s belongs to the trade library", sort, name.Text).
			Note(at, "declared here").Fix("to change it for this house write: " + amending(sort) + name.Text + " …; for something else choose another name")
		return false
	}
	c.fail("name-twice", name.At, "%s %s is declared twice", sort, name.Text).
		Note(at, "first declared here").Fix("rename one, or take it out")
	return false
}

// amending is how an amendment of a sort of thing begins.
func amending(sort string) string {
	if sort == "rule" {
		return "amend "
	}
	return "amend " + sort + " "
}

// opening is the place of the word with which a declaration without a name opens.
func opening(decl diag.Span, word string) diag.Span {
	return diag.Span{Start: decl.Start, End: min(decl.End, decl.Start+diag.Pos(len(word)))}
}

func (c *checker) declareValue(sort string, name lang.Name, d definition) bool {
	before, found := c.values[name.Text]
	if !c.fresh(sort, name, before, found) {
		return false
	}
	if _, isFunc := functions[Func(name.Text)]; isFunc {
		c.fail("name-of-function", name.At, "%s is a function of the language", name.Text).Fix("choose another name")
		return false
	}
	c.values[name.Text] = d
	return true
}

func (c *checker) declareChoice(d *lang.ChoiceDecl) {
	if d.Amend {
		return
	}
	before, found := c.choices[d.Name.Text]
	if !c.fresh("choice", d.Name, before, found) {
		return
	}
	choice := &Choice{Name: d.Name.Text, Title: quoted(d.Title), At: d.Name.At, added: map[string]diag.Span{}, place: map[string]int{}}
	c.choices[choice.Name] = choice
	c.p.Choices = append(c.p.Choices, choice)
	c.addWords(choice, d.Options)
}

// addWords gives the words that are new.
func (c *checker) addWords(choice *Choice, words []lang.Name) (fresh []lang.Name) {
	for _, w := range words {
		if choice.has(w.Text) {
			c.fail("word-twice", w.At, "%s is already a word of the choice %s", w.Text, choice.Name).Note(choice.At, "the choice").Fix("take it out")
			continue
		}
		choice.place[w.Text] = len(choice.Words)
		choice.Words = append(choice.Words, w.Text)
		c.words[w.Text] = append(c.words[w.Text], choice)
		fresh = append(fresh, w)
	}
	return fresh
}

func (ch *Choice) has(word string) bool {
	_, found := ch.place[word]
	return found
}

// value is the constant that a word of the choice is.
func (ch *Choice) value(n lang.Name) Expr {
	return &Const{base{n.At, Type{Base: ChoiceWord, Choice: ch}}, Num(quantity.Int(int64(ch.place[n.Text])))}
}

// declareWords adds what amendments add to choices, once every choice is known.
func (c *checker) declareWords(parsed []*lang.File) {
	for _, f := range parsed {
		for _, d := range f.Decls {
			amend, ok := d.(*lang.ChoiceDecl)
			if !ok || !amend.Amend {
				continue
			}
			choice := c.choices[amend.Name.Text]
			if choice == nil {
				c.unknown("choice", amend.Name, namesOf(c.choices))
				c.lose(amend.Options...)
				continue
			}
			for _, w := range c.addWords(choice, amend.Options) {
				choice.added[w.Text] = w.At
			}
		}
	}
}

var forms = []string{string(Roll), string(Sheet), string(Stick), string(Supply)}

func (c *checker) declareKind(d *lang.KindDecl) {
	if d.Amend {
		c.trees.kinds = append(c.trees.kinds, kindTree{decl: d})
		return
	}
	before, found := c.kinds[d.Name.Text]
	if !c.fresh("kind", d.Name, before, found) {
		return
	}
	k := &Kind{Name: d.Name.Text, Title: quoted(d.Title), Form: Form(d.Form.Text), At: d.Name.At, Layer: c.layer(d.At), byName: map[string]*Cell{}}
	if !slices.Contains(forms, d.Form.Text) {
		c.unknown("form", d.Form, these(forms...))
	}
	c.kinds[k.Name] = k
	c.p.Kinds = append(c.p.Kinds, k)
	c.trees.kinds = append(c.trees.kinds, kindTree{kind: k, decl: d})
}

func (c *checker) declareMaterial(d *lang.MaterialDecl) {
	k := c.kinds[d.Kind.Text]
	if k == nil {
		c.unknown("kind of material", d.Kind, namesOf(c.kinds))
		c.lose(d.Name)
		return
	}
	m := &Material{Name: d.Name.Text, Title: quoted(d.Title), Kind: k, At: d.Name.At}
	if !c.declareValue("material", d.Name, m) {
		return
	}
	m.Index = len(c.p.Materials)
	c.p.Materials = append(c.p.Materials, m)
	c.trees.materials = append(c.trees.materials, materialTree{material: m, decl: d})
}

func (c *checker) declareRule(d *lang.RuleDecl) {
	r := &Rule{Name: d.Name.Text, Result: c.kindOf(d.Kind), At: d.Name.At, Layer: c.layer(d.At), Why: why(d.Why)}
	r.Params = c.params(d.Params)
	r.FrameSize = len(r.Params)
	if c.declareValue("rule", d.Name, r) {
		c.p.Rules = append(c.p.Rules, r)
		c.trees.rules = append(c.trees.rules, ruleTree{r, d})
	}
}

func (c *checker) declareTable(d *lang.TableDecl) {
	r := &Rule{Name: d.Name.Text, Result: c.kindOf(d.Kind), At: d.Name.At, Layer: c.layer(d.At), IsTable: true}
	r.Params = c.params(d.Params)
	r.FrameSize = len(r.Params)
	if len(d.Params) == 0 {
		c.fail("table-no-parameter", d.Name.At, "a table needs something to look up by").Fix("give it a parameter: table " + d.Name.Text + "(width: length from 1 in to 60 in): …")
	}
	if c.declareValue("table", d.Name, r) {
		c.p.Rules = append(c.p.Rules, r)
		c.trees.tables = append(c.trees.tables, tableTree{r, d})
	}
}

// params makes the cells of a rule's parameters; their ranges and defaults are checked in the book's own scope.
func (c *checker) params(all []*lang.Param) []*Cell {
	var cells []*Cell
	seen := map[string]*Cell{}
	for i, p := range all {
		cell := &Cell{Name: p.Name.Text, At: p.Name.At, Role: AskCell, Type: c.kindOf(p.Kind), Index: i, Help: quoted(p.Help), Why: why(p.Why), Source: p.Default}
		if before := seen[cell.Name]; before != nil {
			c.fail("parameter-twice", p.Name.At, "the parameter %s stands twice", cell.Name).Note(before.At, "first here").Fix("rename one")
		}
		seen[cell.Name] = cell
		cells = append(cells, cell)
	}
	return cells
}

func (c *checker) declareRecipe(d *lang.RecipeDecl) {
	before, found := c.recipes[d.Name.Text]
	if !c.fresh("recipe", d.Name, before, found) {
		return
	}
	r := &Recipe{Name: d.Name.Text, Title: quoted(d.Title), At: d.Name.At, Layer: c.layer(d.At)}
	c.recipes[r.Name] = r
	c.p.Recipes = append(c.p.Recipes, r)
	c.trees.recipes[r] = d
}

func (c *checker) declareCaution(d *lang.CautionDecl) {
	before, found := c.cautions[d.Name.Text]
	if !c.fresh("caution", d.Name, before, found) {
		return
	}
	caution := &Caution{Name: d.Name.Text, At: d.Name.At, Why: why(d.Why)}
	c.cautions[caution.Name] = caution
	c.p.Cautions = append(c.p.Cautions, caution)
	c.trees.cautions = append(c.trees.cautions, cautionTree{caution, d})
}

// declarePrice keeps the house's price block in place of the trade's.
func (c *checker) declarePrice(d *lang.PriceDecl) {
	before := c.trees.price
	if before != nil && c.layer(before.At) == c.layer(d.At) {
		c.fail("price-twice", opening(d.At, "price"), "there are two price blocks").Note(opening(before.At, "price"), "the first is here").Fix("keep one")
		return
	}
	if before == nil || c.layer(d.At) > c.layer(before.At) {
		c.trees.price = d
	}
}

func (c *checker) declareOrder(d *lang.OrderDecl) {
	o := &Order{ID: d.ID.Text, Title: quoted(d.Title), At: d.ID.At, Given: map[int]*Cell{}}
	if before := c.ids[o.ID]; before != nil {
		c.fail("order-twice", d.ID.At, "there are two orders %s", o.ID).Note(before.At, "the first is here").Fix("give one another number")
		before.Bad, o.Bad = true, true
	}
	c.ids[o.ID] = o
	c.p.Orders = append(c.p.Orders, o)
	c.takeOrder(orderTree{o, d, d.Make, d.Stmts})
}

func (c *checker) declareProof(d *lang.ProofDecl) {
	o := &Order{ID: d.Title.Value, Title: d.Title.Value, At: d.Title.At, Given: map[int]*Cell{}, Source: quoted(d.Source)}
	c.p.Proofs = append(c.p.Proofs, o)
	c.takeOrder(orderTree{o, d, d.Make, d.Stmts})
}

// takeOrder keeps an order for later, and its amendments with the others.
func (c *checker) takeOrder(t orderTree) {
	c.trees.orders = append(c.trees.orders, t)
	for _, s := range t.stmts {
		if a, ok := s.(*lang.AmendDecl); ok {
			c.trees.amends = append(c.trees.amends, amendTree{decl: a, order: t.order})
		}
	}
}
