package print

import (
	"fmt"
	"strings"

	"squab/eval"
	"squab/eval/trace"
	"squab/lang/diag"
)

// ReachAnswer is what rests on a target: in the book, and in the orders that were worked out.
type ReachAnswer struct {
	Target  trace.Target
	Book    trace.Reached
	Orders  []ReachedOrder
	Unused  []string // ids of the orders in which it was not used
	Refused []string // ids
}

// ReachedOrder is an order in which the target was used, and what of the order rested on it.
type ReachedOrder struct {
	ID, Title, Recipe string
	Cells             []string
}

// Add takes an order in.
func (a *ReachAnswer) Add(r *eval.Result, cells []string) {
	if len(cells) == 0 {
		a.Unused = append(a.Unused, r.Order.ID)
		return
	}
	a.Orders = append(a.Orders, ReachedOrder{r.Order.ID, r.Order.Title, r.Recipe.Name, cells})
}

// Reach writes what rests on a target.
func Reach(files *diag.Files, a ReachAnswer) string {
	var b strings.Builder
	place := files.Place(a.Target.At.Start)
	hang(&b, "", fmt.Sprintf("%s is %s, %s:%d.", a.Target.Name, withArticle(a.Target.Sort), place.File, place.Line))
	section := func(head string, all []string) {
		if len(all) > 0 {
			b.WriteString("\n" + head + "\n")
			hang(&b, "  ", strings.Join(all, ", "))
		}
	}
	section("RULES that rest on it", a.Book.Rules)
	section("FIELDS of materials that rest on it", a.Book.Fields)
	if len(a.Book.Recipes) > 0 {
		b.WriteString("\nRECIPES whose cells may rest on it\n")
	}
	for _, r := range a.Book.Recipes {
		reachedLines(&b, r.Name, r.Title, r.Cells)
	}
	if len(a.Orders) > 0 {
		b.WriteString("\nORDERS that used it, each on its date\n")
	}
	for _, o := range a.Orders {
		reachedLines(&b, o.ID, o.Title, o.Cells)
	}
	b.WriteString("\n" + Paragraph(reachEnd(a)))
	return b.String()
}

func withArticle(sort string) string {
	if sort == "ask" {
		return "an ask"
	}
	return "a " + sort
}

// reachedLines writes a name and a title, and beneath them what rests on the target.
func reachedLines(b *strings.Builder, name, title string, cells []string) {
	hang(b, "  ", strings.TrimSpace(name+"  "+title))
	hang(b, "      ", strings.Join(cells, ", "))
}

// reachEnd counts the orders; every one is in it.
func reachEnd(a ReachAnswer) string {
	if len(a.Orders)+len(a.Unused)+len(a.Refused) == 0 {
		return "There are no orders."
	}
	text := fmt.Sprintf("Used by %d of %s.", len(a.Orders), Counted(len(a.Orders)+len(a.Unused)+len(a.Refused), "order"))
	if len(a.Unused) > 0 && len(a.Orders) > 0 {
		text += " Not used by " + strings.Join(a.Unused, ", ") + "."
	}
	if len(a.Refused) > 0 {
		text += " Refused, so not known: " + strings.Join(a.Refused, ", ") + "; squab cut tells why."
	}
	return text
}

// ReachJSON is a reach for programs.
type ReachJSON struct {
	Schema  int             `json:"schema"`
	Name    string          `json:"name"`
	Sort    string          `json:"sort"`
	At      At              `json:"at"`
	Rules   []string        `json:"rules"`
	Fields  []string        `json:"fields"`
	Recipes []ReachedCells  `json:"recipes"`
	Orders  []ReachedInside `json:"orders"`
	Unused  []string        `json:"unused"`
	Refused []string        `json:"refused"`
}

// ReachedCells is a recipe's cells.
type ReachedCells struct {
	Recipe string   `json:"recipe"`
	Cells  []string `json:"cells"`
}

// ReachedInside is an order's cells and lines.
type ReachedInside struct {
	Order string   `json:"order"`
	Title string   `json:"title"`
	Cells []string `json:"cells"`
}

// ReachOf makes a reach ready for JSON.
func ReachOf(files *diag.Files, a ReachAnswer) ReachJSON {
	p := files.Place(a.Target.At.Start)
	out := ReachJSON{Schema, a.Target.Name, a.Target.Sort, At{p.File, p.Line, p.Column}, nonNil(a.Book.Rules), nonNil(a.Book.Fields),
		[]ReachedCells{}, []ReachedInside{}, nonNil(a.Unused), nonNil(a.Refused)}
	for _, r := range a.Book.Recipes {
		out.Recipes = append(out.Recipes, ReachedCells{r.Name, nonNil(r.Cells)})
	}
	for _, o := range a.Orders {
		out.Orders = append(out.Orders, ReachedInside{o.ID, o.Title, nonNil(o.Cells)})
	}
	return out
}

func nonNil(all []string) []string { return append([]string{}, all...) }
