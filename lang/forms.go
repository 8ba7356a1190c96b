package lang

// form gives how the line that holds the mistake is written, or "" where it has no form of its own.
func (m *mistake) form() string {
	first := &m.tokens[m.line.from]
	if form := statementForm(first.Value); form != "" && first.Type == keywordToken && first.Pos.Column != 1 {
		return "the form is: " + form
	}
	if form := declarationForm(first.Value); form != "" && first.Pos.Column == 1 {
		return "the form is: " + form
	}
	return ""
}

func statementForm(word string) string {
	switch word {
	case "ask":
		return `ask NAME: KIND from A to B = DEFAULT tolerance +A -B "help"`
	case "need":
		return `need CONDITION else "message"`
	case "piece":
		return "piece NAME from MATERIAL, N off = SIZE when CONDITION { up = deep }"
	case "marks":
		return "marks NAME on PIECE, PIECE = POINTS when CONDITION { hole = 1/4 in }"
	case "use":
		return "use FORMULA of MATERIAL when CONDITION"
	case "work":
		return "work NAME at RATE = TIME, setup TIME when CONDITION"
	case "charge":
		return `charge NAME = MONEY when CONDITION because "…"`
	case "step":
		return `step "…" when CONDITION`
	case "caution":
		return "caution NAME, NAME when CONDITION"
	case "part":
		return "part NAME, N off = RECIPE { ask = FORMULA }"
	case "expect":
		return "expect FORMULA = FORMULA"
	case "make":
		return "make RECIPE, N off"
	case "amend":
		return `amend NAME = FORMULA because "…"`
	}
	return ""
}

func declarationForm(word string) string {
	switch word {
	case "shop":
		return `shop "TITLE" { setting = VALUE … }`
	case "unit":
		return "unit NAME = MEASURE"
	case "choice":
		return "choice NAME = WORD, WORD"
	case "kind":
		return `kind NAME: FORM "TITLE" { field: KIND = DEFAULT … }`
	case "material":
		return `material NAME: KIND "TITLE" { field = VALUE … }`
	case "rule":
		return `rule NAME(PARAMETER: KIND): KIND = FORMULA because "…", or cases in braces`
	case "amend":
		return "amend NAME from DATE until DATE = FORMULA, or cases in braces"
	case "table":
		return "table NAME(PARAMETER: KIND): KIND { heading and rows }"
	case "recipe":
		return `recipe NAME "TITLE" { … }`
	case "price":
		return "price { charge NAME = MONEY … }"
	case "caution":
		return `caution NAME "TEXT"`
	case "order":
		return `order ID "TITLE" { make RECIPE … }`
	case "proof":
		return `proof "TITLE" source "…" { … expect FORMULA = FORMULA }`
	}
	return ""
}
