package bench

import (
	"fmt"
	"strings"

	"squab/cmd/squab/internal/load"
	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// wish is what a page wants an order to say. Recipe is set for an order that is not there yet. Blank says that the page shows no sheet.
type wish struct {
	Order   string   `json:"order"`
	Recipe  string   `json:"recipe,omitempty"`
	Changes []change `json:"changes"`
	Blank   bool     `json:"blank,omitempty"`
}

// worded writes what the page gives for texts as the language does: plain words in quotation marks.
func (w wish) worded(h house) wish {
	recipe := h.recipeOf(w)
	if recipe == nil {
		return w
	}
	changes := append([]change(nil), w.Changes...)
	for i, c := range changes {
		if isText(recipe, c.Name) {
			changes[i] = change{c.Name, quoted(c.From), quoted(c.To)}
		}
	}
	w.Changes = changes
	return w
}

func quoted(words *string) *string {
	if words == nil || strings.HasPrefix(strings.TrimSpace(*words), `"`) {
		return words
	}
	text := quote(strings.TrimSpace(*words))
	return &text
}

// unquoted gives the words of a text that is no more than words; others stay as the language writes them.
func unquoted(text string) string {
	if len(text) < 2 || text[0] != '"' || strings.ContainsAny(text[1:len(text)-1], "\"\\{") {
		return text
	}
	return text[1 : len(text)-1]
}

// plain tells of texts as the page does.
func (c clash) plain(r *check.Recipe) clash {
	for i, one := range c.Conflicts {
		if r != nil && one.Now != nil && isText(r, one.Name) {
			words := unquoted(*one.Now)
			c.Conflicts[i].Now = &words
		}
	}
	return c
}

// recipeOf is what an order makes, or is to make; nil where there is no such recipe.
func (h house) recipeOf(w wish) *check.Recipe {
	if w.Recipe != "" {
		return h.recipe(w.Recipe)
	}
	if o := h.order(w.Order); o != nil {
		return o.Recipe
	}
	return nil
}

func isText(r *check.Recipe, name string) bool {
	for _, ask := range r.Asks {
		if ask.Name == name {
			return ask.Type.Base == check.Text
		}
	}
	return false
}

// granted is the one file that a wish changes, and its new text.
type granted struct {
	at   int
	text string
}

// grant puts a wish into the texts of a house.
func grant(texts []load.Text, w wish) (granted, error) {
	at, err := holding(texts, w.Order)
	if err != nil {
		return granted{}, err
	}
	g := granted{at: at}
	switch {
	case at < 0 && w.Recipe == "":
		return g, fmt.Errorf("the order %s is no longer there", w.Order)
	case at >= 0 && w.Recipe != "":
		return g, fmt.Errorf("there is an order %s already: choose another number", w.Order)
	case at >= 0:
		g.text = texts[at].Source.Text
	default:
		g.at = lastWithOrders(texts)
		if g.text, err = draft(base(texts[g.at]), texts[g.at].Source.Text, w.Order, w.Recipe); err != nil {
			return g, err
		}
	}
	g.text, err = edit(base(texts[g.at]), g.text, w.Order, w.Changes)
	return g, err
}

// lastWithOrders is where a new order goes: behind the last that there is, or else to the end of the last file.
func lastWithOrders(texts []load.Text) int {
	for at := len(texts) - 1; at >= 0; at-- {
		if hasOrders(texts[at]) {
			return at
		}
	}
	return len(texts) - 1
}

func hasOrders(t load.Text) bool {
	var problems diag.List
	for _, d := range lang.Parse(t.Source, lang.Limits{MaxBytes: len(t.Source.Text) + 1}, &problems).Decls {
		if _, is := d.(*lang.OrderDecl); is {
			return true
		}
	}
	return false
}
