package page

import (
	"io"
	"unicode/utf8"

	"squab/eval"
	"squab/eval/check"
)

// BenchPage is what the live page at the bench begins with. Key is what the page shows to be let write. Recipe is set for an order that is not in a file
// yet, and Into then names the file that it goes into.
type BenchPage struct {
	Shop, Key, Version string
	Order, Heading     string
	Recipe, Into       string
	Orders, Recipes    []BenchOption
	Fields             []BenchField
}

// BenchField is something that an order may say: its title, how many, its date, or an ask. Text is what its file says, or else what is usual; Usual is
// nil where it must be given. Options are the words that it may be, none for a measure.
type BenchField struct {
	Name, Label, Help, Range string
	Text                     string
	IsGiven, IsShort         bool
	Usual                    *string
	Options                  []BenchOption
}

// IsLong reports whether what the field shows needs the whole width of a phone.
func (f BenchField) IsLong() bool {
	const most = 14
	long := utf8.RuneCountInString(f.Text) > most
	for _, o := range f.Options {
		long = long || utf8.RuneCountInString(o.Words) > most
	}
	return long
}

// UsualWords says what is usual.
func (f BenchField) UsualWords() string {
	if *f.Usual == "" {
		return "none"
	}
	return *f.Usual
}

// BenchOption is a word to choose.
type BenchOption struct {
	Value, Words string
	IsChosen     bool
}

// WriteBench writes the live page, without any order's numbers: it asks for them itself.
func WriteBench(w io.Writer, b BenchPage) error { return write(w, "bench.html.tmpl", b) }

// WriteBenchFields writes the fields of the live page by themselves, for one that is open when the files change.
func WriteBenchFields(w io.Writer, b BenchPage) error { return write(w, "benchfields", b) }

// WriteBenchOrders writes what the live page has to choose from.
func WriteBenchOrders(w io.Writer, b BenchPage) error { return write(w, "benchorders", b) }

// benchSheet is a ticket as the live page shows it, and the lines of the kept one that it no longer has.
type benchSheet struct {
	ticket
	Gone []string
}

// WriteBenchSheet writes the inside of a ticket, for the live page, with what differs from the kept result marked. A nil kept marks nothing.
func WriteBenchSheet(w io.Writer, r, kept *eval.Result) error {
	why := newReasons(r, "b-")
	var sheet benchSheet
	if kept != nil {
		before := newReasons(kept, "b-")
		old := before.ticket()
		why.before = before.said
		sheet.ticket = why.ticket()
		sheet.Gone = gone(old.lines(), sheet.lines())
		return write(w, "benchsheet", sheet)
	}
	sheet.ticket = why.ticket()
	return write(w, "benchsheet", sheet)
}

// lines names the lines of a ticket's lists.
func (t ticket) lines() []string {
	var all []string
	for _, g := range t.Cut {
		for _, row := range g.Rows {
			all = append(all, row.Name+" of "+g.Name)
		}
	}
	for _, row := range t.Buy {
		all = append(all, row.Name+" to buy")
	}
	for _, row := range t.Work {
		all = append(all, row.Name+" among the work")
	}
	for _, row := range t.Price {
		all = append(all, row.Name+" in the price")
	}
	return all
}

// gone lists what is among the old and not among the new.
func gone(old, now []string) []string {
	there := map[string]bool{}
	for _, name := range now {
		there[name] = true
	}
	var all []string
	for _, name := range old {
		if !there[name] {
			all = append(all, name)
		}
	}
	return all
}

// BenchScript is the live page's script.
func BenchScript() ([]byte, error) { return assets.ReadFile("assets/bench.js") }

// OrderHeading names an order.
func OrderHeading(o *check.Order) string { return heading(o.ID, o.Title) }

// RecipeTitle names a recipe as a page does.
func RecipeTitle(r *check.Recipe) string { return recipeTitle(r) }

// MaterialTitle names a material as a page does.
func MaterialTitle(m *check.Material) string { return titleOf(m) }

// Words writes a name of the language in words.
func Words(name string) string { return words(name) }
