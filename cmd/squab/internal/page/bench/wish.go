package bench

import (
	"fmt"
	"strings"

	"squab/eval/check"
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

// unquoted gives the words of a text that is no more than words, which quoted writes as they were; others stay as the language writes them.
func unquoted(text string) string {
	inner := strings.TrimSuffix(strings.TrimPrefix(text, `"`), `"`)
	words := strings.NewReplacer(`\\`, `\`, `\"`, `"`, `\{`, `{`).Replace(inner)
	if *quoted(&words) != text {
		return text
	}
	return words
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

// granted is the one file that a wish changes, by its place among the texts, and its new text.
type granted struct {
	at   int
	text string
}

// grant puts a wish into the texts of a house. Nothing but the order is changed, and nothing else is laid out.
func (h house) grant(w wish) (granted, error) {
	there, err := h.holding(w.Order)
	switch {
	case err != nil:
		return granted{}, err
	case there.order == nil && w.Recipe == "":
		return granted{}, fmt.Errorf("the order %s is no longer there", w.Order)
	case there.order != nil && w.Recipe != "":
		return granted{}, fmt.Errorf("there is an order %s already: choose another number", w.Order)
	case there.order == nil:
		return h.grantNew(w)
	}
	before, own, behind := h.parts(there)
	own, err = edit(own, w.Order, w.Changes)
	return granted{there.at, before + strings.TrimSuffix(own, "\n") + behind}, err
}

func (h house) grantNew(w wish) (granted, error) {
	own, err := draft(w.Order, w.Recipe)
	if err != nil {
		return granted{}, err
	}
	at := h.lastWithOrders()
	own, err = edit(own, w.Order, w.Changes)
	return granted{at, strings.TrimRight(h.texts[at].Source.Text, "\n") + "\n\n" + own}, err
}

// conflicts lists what the order says otherwise than the page knew.
func (h house) conflicts(w wish) ([]conflict, error) {
	there, err := h.holding(w.Order)
	if err != nil || there.order == nil || w.Recipe != "" {
		return nil, err
	}
	_, own, _ := h.parts(there)
	s, err := readOrder(own, w.Order)
	if err != nil {
		return nil, err
	}
	return s.conflicts(w.Changes), nil
}
