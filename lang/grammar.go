package lang

import (
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// The grammar of the heads of declarations and of the lines of their bodies. Each is parsed on its own, up to an end
// token; formulas, kinds and a table's fields are read by functions of their own.
type (
	nameSyntax struct {
		Name lexer.Token `parser:"@Ident"`
	}
	reasons struct {
		Because *lexer.Token `parser:"( 'because' @Text )?"`
		Source  *lexer.Token `parser:"( 'source' @Text )?"`
	}
	windowSyntax struct {
		From  *lexer.Token `parser:"( 'from' @Date )?"`
		Until *lexer.Token `parser:"( 'until' @Date )?"`
	}
	paramSyntax struct {
		Name    lexer.Token `parser:"@Ident"`
		Kind    kindSyntax  `parser:"':' @@"`
		From    term        `parser:"( 'from' @@"`
		To      term        `parser:"  'to' @@ )?"`
		Default Expr        `parser:"( '=' @@ )?"`

		Tolerance *toleranceSyntax `parser:"( 'tolerance' @@ )?"`
		Help      *lexer.Token     `parser:"@Text?"`
		reasons
	}
	cellSyntax struct {
		Name  lexer.Token `parser:"@Ident"`
		Value Expr        `parser:"'=' @@"`

		Tolerance *toleranceSyntax `parser:"( 'tolerance' @@ )?"`
		reasons
	}
)

// Heads of declarations.
type (
	shopSyntax struct {
		Title *lexer.Token `parser:"'shop' @Text"`
	}
	unitSyntax struct {
		Name  lexer.Token `parser:"'unit' @Ident"`
		Value Expr        `parser:"'=' @@"`
		reasons
	}
	choiceSyntax struct {
		Amend   bool          `parser:"@'amend'?"`
		Name    lexer.Token   `parser:"'choice' @Ident"`
		Title   *lexer.Token  `parser:"@Text?"`
		Options []*nameSyntax `parser:"'=' @@ ( ',' @@ )*"`
	}
	kindDeclSyntax struct {
		Amend bool         `parser:"@'amend'?"`
		Name  lexer.Token  `parser:"'kind' @Ident"`
		Form  *lexer.Token `parser:"( ':' @Ident )?"`
		Title *lexer.Token `parser:"@Text?"`
	}
	materialSyntax struct {
		Amend bool         `parser:"@'amend'?"`
		Name  lexer.Token  `parser:"'material' @Ident"`
		Kind  *lexer.Token `parser:"( ':' @Ident )?"`
		Title *lexer.Token `parser:"@Text?"`
		windowSyntax
	}
	ruleSyntax struct {
		Name    lexer.Token    `parser:"'rule' @Ident"`
		Params  []*paramSyntax `parser:"( '(' ( @@ ( ',' @@ )* )? ')' )?"`
		Kind    kindSyntax     `parser:"':' @@"`
		Formula Expr           `parser:"( '=' @@ )?"`
		reasons
	}
	amendSyntax struct {
		Name   lexer.Token   `parser:"'amend' @Ident"`
		Params []*nameSyntax `parser:"( '(' ( @@ ( ',' @@ )* )? ')' )?"`
		windowSyntax
		Formula Expr `parser:"( '=' @@ )?"`
		reasons
	}
	tableSyntax struct {
		Amend  bool           `parser:"@'amend'?"`
		Name   lexer.Token    `parser:"'table' @Ident"`
		Params []*paramSyntax `parser:"( '(' ( @@ ( ',' @@ )* )? ')' )?"`
		Kind   *kindSyntax    `parser:"( ':' @@ )?"`
		Hit    *lexer.Token   `parser:"@( 'unique' | 'interpolated' )?"`
		windowSyntax
	}
	recipeSyntax struct {
		Name  lexer.Token  `parser:"'recipe' @Ident"`
		Title *lexer.Token `parser:"@Text?"`
	}
	priceSyntax struct {
		Word lexer.Token `parser:"@'price'"`
	}
	cautionSyntax struct {
		Name lexer.Token `parser:"'caution' @Ident"`
		Text Expr        `parser:"@@"`
		reasons
	}
	orderSyntax struct {
		ID    lexer.Token  `parser:"'order' @( Number | Ident | Text )"`
		Title *lexer.Token `parser:"@Text?"`
	}
	proofSyntax struct {
		Title  lexer.Token  `parser:"'proof' @Text"`
		Source *lexer.Token `parser:"( 'source' @Text )?"`
	}
)

// Lines of bodies.
type (
	caseSyntax struct {
		Value     Expr `parser:"@@"`
		When      Expr `parser:"( 'when' @@"`
		Otherwise bool `parser:"| @'otherwise' )"`
		reasons
	}
	headingSyntax struct {
		Names []*headSyntax `parser:"@@ ( '|' @@? )*"`
	}
	headSyntax struct {
		Name lexer.Token `parser:"@( Ident | 'because' | 'source' )"`
	}
	rowSyntax struct {
		Fields []*fieldSyntax `parser:"@@ ( '|' @@ )*"`
	}
	askSyntax struct {
		Param paramSyntax `parser:"'ask' @@"`
	}
	needSyntax struct {
		Cond Expr `parser:"'need' @@"`
		Else Expr `parser:"'else' @@"`
	}
	pieceSyntax struct {
		Name     lexer.Token `parser:"'piece' @Ident"`
		Material term        `parser:"'from' @@"`
		Off      term        `parser:"( ',' @@ 'off' )?"`
		Size     Expr        `parser:"'=' @@"`
		When     Expr        `parser:"( 'when' @@ )?"`
		reasons
		Options []*cellSyntax `parser:"( '{' @@* '}' )?"`
	}
	marksSyntax struct {
		Name   lexer.Token   `parser:"'marks' @Ident"`
		On     []*nameSyntax `parser:"'on' @@ ( ',' @@ )*"`
		Points Expr          `parser:"'=' @@"`
		When   Expr          `parser:"( 'when' @@ )?"`
		reasons
		Options []*cellSyntax `parser:"( '{' @@* '}' )?"`
	}
	useSyntax struct {
		Need     Expr `parser:"'use' @@"`
		Material Expr `parser:"'of' @@"`
		When     Expr `parser:"( 'when' @@ )?"`
		reasons
	}
	workSyntax struct {
		Name  lexer.Token `parser:"'work' @Ident"`
		Rate  primary     `parser:"( 'at' @@ )?"`
		Time  Expr        `parser:"'=' @@"`
		Setup Expr        `parser:"( ',' 'setup' @@ )?"`
		When  Expr        `parser:"( 'when' @@ )?"`
		reasons
	}
	chargeSyntax struct {
		Name  lexer.Token `parser:"'charge' @Ident"`
		Value Expr        `parser:"'=' @@"`
		When  Expr        `parser:"( 'when' @@ )?"`
		reasons
	}
	stepSyntax struct {
		Text Expr `parser:"'step' @@"`
		When Expr `parser:"( 'when' @@ )?"`
	}
	cautionsSyntax struct {
		Names []*nameSyntax `parser:"'caution' @@ ( ',' @@ )*"`
		When  Expr          `parser:"( 'when' @@ )?"`
	}
	partSyntax struct {
		Name   lexer.Token   `parser:"'part' @Ident"`
		Off    term          `parser:"( ',' @@ 'off' )?"`
		Recipe lexer.Token   `parser:"'=' @Ident"`
		Cells  []*cellSyntax `parser:"( '{' @@* '}' )?"`
	}
	makeSyntax struct {
		Recipe lexer.Token `parser:"'make' @Ident"`
		Off    term        `parser:"( ',' @@ 'off' )?"`
	}
	expectSyntax struct {
		Left Expr `parser:"'expect' @@"`
	}
)

// pageSyntax is every production; none is ever parsed as one of several, since the first word says which it is.
type pageSyntax struct {
	Shop     *shopSyntax     `parser:"( @@"`
	Unit     *unitSyntax     `parser:"| @@"`
	Choice   *choiceSyntax   `parser:"| @@"`
	KindDecl *kindDeclSyntax `parser:"| @@"`
	Material *materialSyntax `parser:"| @@"`
	Rule     *ruleSyntax     `parser:"| @@"`
	Amend    *amendSyntax    `parser:"| @@"`
	Table    *tableSyntax    `parser:"| @@"`
	Recipe   *recipeSyntax   `parser:"| @@"`
	Price    *priceSyntax    `parser:"| @@"`
	Caution  *cautionSyntax  `parser:"| @@"`
	Order    *orderSyntax    `parser:"| @@"`
	Proof    *proofSyntax    `parser:"| @@"`
	Case     *caseSyntax     `parser:"| @@"`
	Heading  *headingSyntax  `parser:"| @@"`
	Row      *rowSyntax      `parser:"| @@"`
	Param    *paramSyntax    `parser:"| @@"`
	Cell     *cellSyntax     `parser:"| @@"`
	Ask      *askSyntax      `parser:"| @@"`
	Need     *needSyntax     `parser:"| @@"`
	Piece    *pieceSyntax    `parser:"| @@"`
	Marks    *marksSyntax    `parser:"| @@"`
	Use      *useSyntax      `parser:"| @@"`
	Work     *workSyntax     `parser:"| @@"`
	Charge   *chargeSyntax   `parser:"| @@"`
	Step     *stepSyntax     `parser:"| @@"`
	Cautions *cautionsSyntax `parser:"| @@"`
	Part     *partSyntax     `parser:"| @@"`
	Make     *makeSyntax     `parser:"| @@"`
	Expect   *expectSyntax   `parser:"| @@"`
	Formula  *formulaSyntax  `parser:"| @@"`

	Given     *givenSyntax   `parser:"| @@"`
	Tolerance *loneTolerance `parser:"| @@ )"`
}

type formulaSyntax struct {
	Formula Expr `parser:"@@"`
}

type givenSyntax struct {
	Formula   Expr             `parser:"@@"`
	Tolerance *toleranceSyntax `parser:"( 'tolerance' @@ )?"`
}

type loneTolerance struct {
	Of *toleranceSyntax `parser:"@@"`
}

// grammar holds the parser of each production.
type grammar struct {
	shop     *participle.Parser[shopSyntax]
	unit     *participle.Parser[unitSyntax]
	choice   *participle.Parser[choiceSyntax]
	kindDecl *participle.Parser[kindDeclSyntax]
	material *participle.Parser[materialSyntax]
	rule     *participle.Parser[ruleSyntax]
	amend    *participle.Parser[amendSyntax]
	table    *participle.Parser[tableSyntax]
	recipe   *participle.Parser[recipeSyntax]
	price    *participle.Parser[priceSyntax]
	caution  *participle.Parser[cautionSyntax]
	order    *participle.Parser[orderSyntax]
	proof    *participle.Parser[proofSyntax]
	cases    *participle.Parser[caseSyntax]
	heading  *participle.Parser[headingSyntax]
	row      *participle.Parser[rowSyntax]
	param    *participle.Parser[paramSyntax]
	cell     *participle.Parser[cellSyntax]
	ask      *participle.Parser[askSyntax]
	need     *participle.Parser[needSyntax]
	piece    *participle.Parser[pieceSyntax]
	marks    *participle.Parser[marksSyntax]
	use      *participle.Parser[useSyntax]
	work     *participle.Parser[workSyntax]
	charge   *participle.Parser[chargeSyntax]
	step     *participle.Parser[stepSyntax]
	cautions *participle.Parser[cautionsSyntax]
	part     *participle.Parser[partSyntax]
	makes    *participle.Parser[makeSyntax]
	expect   *participle.Parser[expectSyntax]
	formula  *participle.Parser[formulaSyntax]

	given     *participle.Parser[givenSyntax]
	tolerance *participle.Parser[loneTolerance]
}

// theGrammar is built when the first source is parsed. It panics only where the tags above are wrong, which every test shows.
var theGrammar = sync.OnceValue(buildGrammar)

func buildGrammar() *grammar {
	options := append(formulaOptions(), participle.Lexer(lexicon{}), participle.UseLookahead(0))
	page := participle.MustBuild[pageSyntax](options...)
	return &grammar{
		shop: production[shopSyntax](page), unit: production[unitSyntax](page), choice: production[choiceSyntax](page),
		kindDecl: production[kindDeclSyntax](page), material: production[materialSyntax](page), rule: production[ruleSyntax](page),
		amend: production[amendSyntax](page), table: production[tableSyntax](page), recipe: production[recipeSyntax](page),
		price: production[priceSyntax](page), caution: production[cautionSyntax](page), order: production[orderSyntax](page),
		proof: production[proofSyntax](page), cases: production[caseSyntax](page), heading: production[headingSyntax](page),
		row: production[rowSyntax](page), param: production[paramSyntax](page), cell: production[cellSyntax](page),
		ask: production[askSyntax](page), need: production[needSyntax](page), piece: production[pieceSyntax](page),
		marks: production[marksSyntax](page), use: production[useSyntax](page), work: production[workSyntax](page),
		charge: production[chargeSyntax](page), step: production[stepSyntax](page), cautions: production[cautionsSyntax](page),
		part: production[partSyntax](page), makes: production[makeSyntax](page), expect: production[expectSyntax](page),
		formula: production[formulaSyntax](page), given: production[givenSyntax](page), tolerance: production[loneTolerance](page),
	}
}

func production[P any](page *participle.Parser[pageSyntax]) *participle.Parser[P] {
	p, err := participle.ParserForProduction[P](page)
	if err != nil {
		panic(err)
	}
	return p
}
