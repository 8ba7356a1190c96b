package page

import (
	"io"

	"squab/eval"
	"squab/eval/check"
)

// BenchPage is what the live page at the bench begins with. Key is what the page shows to be let write.
type BenchPage struct {
	Shop, Key, Version string
	Order              string
	Heading            string
	Orders             []BenchOrder
	Asks               []BenchAsk
}

// BenchOrder is an order to choose.
type BenchOrder struct {
	ID, Heading string
	IsChosen    bool
}

// BenchAsk is something that an order's recipe asks. Text is what the order's file says, or the default; Options are the words that it may be, none for
// a measure.
type BenchAsk struct {
	Name, Help, Range string
	Text              string
	IsGiven           bool
	Options           []BenchOption
}

// Words names the ask.
func (a BenchAsk) Words() string { return words(a.Name) }

// BenchOption is a word that an ask may be.
type BenchOption struct{ Value, Words string }

// WriteBench writes the live page, without any order's numbers: it asks for them itself.
func WriteBench(w io.Writer, b BenchPage) error { return write(w, "bench.html.tmpl", b) }

// WriteBenchSheet writes the inside of a ticket, for the live page, with what differs from the kept result marked. A nil kept marks nothing.
func WriteBenchSheet(w io.Writer, r, kept *eval.Result) error {
	why := newReasons(r, "b-")
	if kept != nil {
		before := newReasons(kept, "b-")
		before.ticket()
		why.before = before.said
	}
	return write(w, "benchsheet", why.ticket())
}

// BenchScript is the live page's script.
func BenchScript() ([]byte, error) { return assets.ReadFile("assets/bench.js") }

// OrderHeading names an order.
func OrderHeading(o *check.Order) string { return heading(o.ID, o.Title) }

// MaterialTitle names a material as a page does.
func MaterialTitle(m *check.Material) string { return titleOf(m) }

// Words writes a name of the language in words.
func Words(name string) string { return words(name) }
