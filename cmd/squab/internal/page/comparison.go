package page

import (
	"fmt"
	"io"
	"strings"

	"squab/cmd/squab/internal/print"
)

// comparisonPage is a comparison by causes and by orders.
type comparisonPage struct {
	Compared     print.Compared
	Title        string
	Ending       []string
	Causes       []*comparedCause
	Totals, Same []print.Total // those that changed, and those that did not
	Orders       []comparedOrder
}

// comparedCause is one cause, and the orders in which it changed something.
type comparedCause struct {
	ID            string
	Cause         print.Cause
	Before, After string
	Orders        []causedOrder
}

type causedOrder struct {
	ID, Order string
	Count     int // of changes
}

type comparedOrder struct {
	ID, Order string
	Groups    []comparedGroup
}

// comparedGroup is the changes of an order that have the same causes: Sets are large sets of marks, Few all else.
type comparedGroup struct {
	Word   string
	Causes []*comparedCause
	Few    []print.Change
	Sets   []changedSet
}

type changedSet struct {
	Name    string
	Changes []print.Change
}

// WriteComparison writes a comparison as one HTML page, with the values of its JSON.
func WriteComparison(w io.Writer, c print.Compared) error {
	return write(w, "compare.html.tmpl", newComparison(c))
}

func newComparison(c print.Compared) *comparisonPage {
	p := &comparisonPage{Compared: c, Title: "What changed", Ending: c.Ending()}
	for _, t := range c.Totals {
		if t.Same() {
			p.Same = append(p.Same, t)
			continue
		}
		p.Totals = append(p.Totals, t)
	}
	for i, o := range c.ByOrder() {
		p.Orders = append(p.Orders, p.order(fmt.Sprintf("order-%d", i+1), o))
	}
	return p
}

// CausesHeading says what the causes are: of results alone, no more than what else changed.
func (p *comparisonPage) CausesHeading() string {
	if p.Compared.Of == print.OfResults {
		return "Asks that changed"
	}
	return "What made the changes"
}

func (p *comparisonPage) order(id string, o print.OrderGroup) comparedOrder {
	out := comparedOrder{ID: id, Order: o.Order}
	for _, g := range o.Groups {
		group := comparedGroup{Word: p.Compared.Word()}
		for _, cause := range g.Causes {
			c := p.cause(cause)
			c.count(id, o.Order, len(g.Changes))
			group.Causes = append(group.Causes, c)
		}
		group.part(g.Changes)
		out.Groups = append(out.Groups, group)
	}
	return out
}

// cause finds a cause by what it is and where it stands, and numbers it when it first comes up.
func (p *comparisonPage) cause(cause print.Cause) *comparedCause {
	for _, c := range p.Causes {
		if c.Cause == cause {
			return c
		}
	}
	c := &comparedCause{ID: fmt.Sprintf("cause-%d", len(p.Causes)+1), Cause: cause}
	c.Before, c.After = cause.Said()
	p.Causes = append(p.Causes, c)
	return c
}

func (c *comparedCause) count(id, order string, changes int) {
	if n := len(c.Orders); n > 0 && c.Orders[n-1].ID == id {
		c.Orders[n-1].Count += changes
		return
	}
	c.Orders = append(c.Orders, causedOrder{id, order, changes})
}

// Where is the place of a cause; "" for an ask of a result.
func (c *comparedCause) Where() string {
	if c.Cause.At.File == "" {
		return ""
	}
	return fmt.Sprintf("%s:%d", c.Cause.At.File, c.Cause.At.Line)
}

// largeSet is how many changed places of one set of marks are shown without opening.
const largeSet = 6

// part keeps large sets of marks apart.
func (g *comparedGroup) part(changes []print.Change) {
	count := map[string]int{}
	for _, ch := range changes {
		set, _, _ := strings.Cut(ch.Name, "[")
		count[set]++
	}
	for _, ch := range changes {
		set, _, isMark := strings.Cut(ch.Name, "[")
		if !isMark || count[set] <= largeSet {
			g.Few = append(g.Few, ch)
			continue
		}
		if n := len(g.Sets); n == 0 || g.Sets[n-1].Name != set {
			g.Sets = append(g.Sets, changedSet{Name: set})
		}
		last := &g.Sets[len(g.Sets)-1]
		last.Changes = append(last.Changes, ch)
	}
}
