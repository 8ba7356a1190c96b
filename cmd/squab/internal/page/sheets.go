package page

// Sheet is a size of paper, in inches.
type Sheet struct {
	Name       string // as CSS calls it
	Wide, High float64
}

// SheetNamed finds a sheet by its name: letter (ANSI A, 8 1/2 by 11 in) or a4 (ISO 216, 210 by 297 mm, less a hair: a browser that takes the sheet for a
// hundredth of an inch narrower would print a page of its full width small).
func SheetNamed(name string) (Sheet, bool) {
	switch name {
	case "letter":
		return Sheet{"letter", 8.5, 11}, true
	case "a4":
		return Sheet{"A4", 8.26, 11.69}, true
	}
	return Sheet{}, false
}

// sheetMargin is left white round every sheet, since few printers reach the edge.
const sheetMargin = 0.5

func (s Sheet) inner() (wide, high float64) { return s.Wide - 2*sheetMargin, s.High - 2*sheetMargin }
