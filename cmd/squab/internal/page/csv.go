package page

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"squab/eval"
	"squab/eval/check"
	"squab/eval/quantity"
)

// csvHeading names the columns of everything: what a row is of, its name, which of them, what is measured of it, and the value, once as the shop shows
// it and once exactly.
var csvHeading = [...]string{"order", "title", "what", "name", "which", "measure", "shown", "exact", "unit"}

// WriteCSV writes everything that some orders come to as one CSV (RFC 4180), a value a row. A text that a spreadsheet would take for a formula stands
// behind an apostrophe.
func WriteCSV(w io.Writer, s Sheaf) error {
	c := csvWriter{out: csv.NewWriter(w)}
	c.out.UseCRLF = true
	c.write(csvHeading[:]...)
	for _, r := range s.Results {
		c.why, c.order = newReasons(r, ""), []string{r.Order.ID, r.Order.Title}
		c.everything(r)
	}
	c.out.Flush()
	return c.out.Error()
}

type csvWriter struct {
	out   *csv.Writer
	why   *reasons
	order []string
}

// write writes a row; the writer keeps its error until it is flushed.
func (c *csvWriter) write(fields ...string) {
	row := make([]string, 0, len(fields))
	for _, f := range fields {
		row = append(row, harmless(f))
	}
	c.out.Write(row)
}

// harmless puts an apostrophe before what a spreadsheet would work out.
func harmless(f string) string {
	if f != "" && strings.ContainsRune("=+-@\t\r\n", rune(f[0])) {
		return "'" + f
	}
	return f
}

func (c *csvWriter) row(what, name, which, measure string, n Num) {
	c.write(append(c.order[:2:2], what, name, which, measure, n.Shown, n.Exact, n.Unit)...)
}

func (c *csvWriter) number(v check.Value, t check.Type) Num { return c.why.bare(v, t) }

func (c *csvWriter) text(what, name, which, text string) {
	c.row(what, name, which, "", Num{Shown: text})
}

func (c *csvWriter) everything(r *eval.Result) {
	for _, ask := range r.Recipe.Asks {
		v, _ := r.Sheet.Value(ask.Index)
		c.row("ask", ask.Name, "", "", c.number(v, ask.Type))
	}
	c.pieces(r)
	c.marks(r)
	c.layouts(r)
	c.lines(r)
	for i, s := range r.Steps {
		c.text("step", "", strconv.Itoa(i+1), s)
	}
	for _, s := range r.Cautions {
		c.text("caution", s.Name, "", s.Text)
	}
}

func (c *csvWriter) pieces(r *eval.Result) {
	for _, p := range r.Pieces {
		count := eval.Show(r.Sheet.Plan.Program(), check.Num(quantity.Int(p.Count)), check.CountType())
		c.row("piece", p.Name, p.Material.Name, "count", Num{Shown: count, Exact: count})
		length := func(measure string, n quantity.Number) {
			c.row("piece", p.Name, p.Material.Name, measure, c.number(check.Num(n), check.LengthType()))
		}
		if p.Form == check.Stick {
			length("long", p.Wide)
		} else {
			length("wide", p.Wide)
			length("deep", p.Deep)
		}
		if p.HasThick {
			length("thick", p.Thick)
		}
	}
}

func (c *csvWriter) marks(r *eval.Result) {
	for _, m := range r.Marks {
		if holeRadius(m) > 0 {
			c.row("mark", m.Name, "", "hole", c.number(check.Num(m.Hole), check.LengthType()))
		}
		for i, pt := range m.Points {
			c.row("mark", m.Name, strconv.Itoa(i+1), "from the left", c.number(check.Num(pt.X), check.LengthType()))
			c.row("mark", m.Name, strconv.Itoa(i+1), "from the front", c.number(check.Num(pt.Y), check.LengthType()))
		}
	}
}

func (c *csvWriter) layouts(r *eval.Result) {
	for _, l := range r.Layouts {
		t := check.CountType()
		if l.Form == check.Roll {
			t = check.LengthType()
		}
		c.row("layout", l.Material.Name, "", "used", c.number(check.Num(l.Used), t))
		c.row("layout", l.Material.Name, "", "least", c.number(check.Num(l.Bound), t))
		c.row("layout", l.Material.Name, "", "waste", c.number(check.Num(l.Waste), check.CountType()))
	}
}

func (c *csvWriter) lines(r *eval.Result) {
	for _, l := range r.Buy {
		c.row("buy", l.Material.Name, "", "need", c.number(check.Num(l.Need), l.Type))
		c.row("buy", l.Material.Name, "", "buy", c.number(check.Num(l.Buy), l.Type))
		c.row("buy", l.Material.Name, "", "each", c.number(check.Num(l.Each), l.EachType))
		c.row("buy", l.Material.Name, "", "cost", c.number(check.Num(l.Cost), check.MoneyType()))
	}
	for _, l := range r.Work {
		c.row("work", l.Name, "", "time", c.number(check.Num(l.Time), check.TimeType()))
		c.row("work", l.Name, "", "cost", c.number(check.Num(l.Cost), check.MoneyType()))
	}
	for _, l := range r.Price {
		c.row("price", l.Name, "", "", c.number(check.Num(l.Value), l.Type))
	}
}
