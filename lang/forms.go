package lang

// form is how what begins with a word is written.
type form struct{ word, form string }

// The lines that begin with a keyword, but for declarations.
var statementForms = [...]form{
	{"ask", `ask NAME: KIND from A to B = DEFAULT tolerance +A -B "help"`},
	{"need", `need CONDITION else "message"`},
	{"piece", "piece NAME from MATERIAL, N off = SIZE when CONDITION { up = deep }"},
	{"marks", "marks NAME on PIECE, PIECE = POINTS when CONDITION { hole = 1/4 in }"},
	{"use", "use FORMULA of MATERIAL when CONDITION"},
	{"work", "work NAME at RATE = TIME, setup TIME when CONDITION"},
	{"charge", `charge NAME = MONEY when CONDITION because "…"`},
	{"step", `step "…" when CONDITION`},
	{"caution", "caution NAME, NAME when CONDITION"},
	{"part", "part NAME, N off = RECIPE { ask = FORMULA }"},
	{"expect", "expect FORMULA = FORMULA"},
	{"make", "make RECIPE, N off"},
	{"amend", `amend NAME = FORMULA because "…"`},
}

var declarationForms = [...]form{
	{"shop", `shop "TITLE" { setting = VALUE … }`},
	{"unit", "unit NAME = MEASURE"},
	{"choice", "choice NAME = WORD, WORD"},
	{"kind", `kind NAME: FORM "TITLE" { field: KIND = DEFAULT … }`},
	{"material", `material NAME: KIND "TITLE" { field = VALUE … }`},
	{"rule", `rule NAME(PARAMETER: KIND): KIND = FORMULA because "…", or cases in braces`},
	{"amend", "amend NAME from DATE until DATE = FORMULA, or cases in braces"},
	{"table", "table NAME(PARAMETER: KIND): KIND { heading and rows }"},
	{"recipe", `recipe NAME "TITLE" { … }`},
	{"price", "price { charge NAME = MONEY … }"},
	{"caution", `caution NAME "TEXT"`},
	{"order", `order ID "TITLE" { make RECIPE … }`},
	{"proof", `proof "TITLE" source "…" { … expect FORMULA = FORMULA }`},
}

// formOf gives the form of what begins with a word; "" where none of the forms does.
func formOf(forms []form, word string) string {
	for i := range forms {
		if forms[i].word == word {
			return forms[i].form
		}
	}
	return ""
}

func isDeclarationWord(word string) bool { return formOf(declarationForms[:], word) != "" }

func isStatementWord(word string) bool { return formOf(statementForms[:], word) != "" }

func wordsOf(forms []form) []string {
	words := make([]string, len(forms))
	for i, f := range forms {
		words[i] = f.word
	}
	return words
}

// form gives how the line that holds the mistake is written, or "" where it has no form of its own.
func (m *mistake) form() string {
	first := &m.tokens[m.line.from]
	form := ""
	switch {
	case m.word == "":
	case first.Pos.Column == 1:
		form = formOf(declarationForms[:], first.Value)
	case first.Type == keywordToken:
		form = formOf(statementForms[:], first.Value)
	}
	if form == "" {
		return ""
	}
	return "the form is: " + form
}
