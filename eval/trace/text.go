package trace

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"squab/lang/diag"
)

// Text writes a trace as a tree that a bench hand can read, in at most width columns. What was worked out elsewhere in the tree is named, not repeated;
// what stands so deep that half the width is gone has a tree of its own below.
func Text(n *Node, files *diag.Files, width int) string {
	w := writer{files: files, width: max(width, 40), told: map[string]bool{}}
	w.node(n, "", "")
	for len(w.below) > 0 {
		n, w.below = w.below[0], w.below[1:]
		w.b.WriteString("\n")
		w.node(n, "", "")
	}
	return w.b.String()
}

type writer struct {
	b     strings.Builder
	files *diag.Files
	width int
	told  map[string]bool // names of the nodes that have been written in full
	below []*Node         // those that are still to have a tree of their own
}

// node writes a node with head before its first line and rest before the others.
func (w *writer) node(n *Node, head, rest string) {
	if len(n.From) > 0 && !n.Same && diag.Columns(rest) > w.width/2 {
		w.wrap(head, rest, n.Name+" = "+n.Shown+"  (below)")
		w.below = append(w.below, n)
		return
	}
	w.wrap(head, rest, n.Name+" = "+n.Shown+"  "+w.origin(n))
	inner := rest
	if len(n.From) > 0 {
		inner += "│ "
	} else {
		inner += "  "
	}
	w.details(n, inner)
	for i, from := range n.From {
		if i == len(n.From)-1 {
			w.node(from, rest+"└ ", rest+"  ")
			continue
		}
		w.node(from, rest+"├ ", rest+"│ ")
	}
}

// details writes the formula, the case chosen, reasons, what was passed over and notes.
func (w *writer) details(n *Node, inner string) {
	if n.Same {
		w.notes(n, inner)
		return
	}
	if n.Formula != "" && n.Formula != n.Shown {
		w.wrap(inner, inner+"  ", "= "+n.Formula)
	}
	if args := argsText(n); args != "" {
		w.wrap(inner, inner+"  ", args)
	}
	if n.Chosen != "" {
		w.wrap(inner, inner+"  ", n.Chosen)
	}
	if n.Because != "" {
		w.wrap(inner, inner+"  ", "because "+n.Because)
	}
	if n.Source != "" {
		w.wrap(inner, inner+"  ", "source: "+n.Source)
	}
	w.notes(n, inner)
	for _, p := range n.Passed {
		w.wrap(inner, inner+"  ", "not "+p.Text+w.layered(p.Layer, p.At)+where(p.Args, p.Text)+": "+p.Why)
	}
	for _, u := range n.Beneath {
		w.wrap(inner, inner+"  ", w.under(u))
	}
}

func (w *writer) notes(n *Node, inner string) {
	for _, note := range n.Notes {
		w.wrap(inner, inner+"  ", note)
	}
}

// argsText says what the names in a node's formula and conditions stand for.
func argsText(n *Node) string {
	said := n.Formula + " " + n.Chosen
	for _, p := range n.Passed {
		if len(p.Args) == 0 {
			said += " " + p.Text
		}
	}
	return strings.TrimPrefix(where(n.Args, said), ", ")
}

// where says what those of some names that a text uses stand for.
func where(args []Arg, said string) string {
	read := strings.FieldsFunc(said, func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	var parts []string
	for _, a := range args {
		if slices.Contains(read, a.Name) {
			parts = append(parts, a.Name+" = "+a.Shown)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return ", where " + strings.Join(parts, ", ")
}

// under says what an amendment lies over.
func (w *writer) under(u Under) string {
	if u.Why != "" {
		return "nor " + u.Text + w.layered(u.Layer, u.At) + ": " + u.Why
	}
	text := "over " + u.Text
	if u.Shown != u.Text {
		text = "over " + u.Shown + ", = " + u.Text
	}
	text += w.layered(u.Layer, u.At) + where(u.Args, u.Text)
	if u.Because != "" {
		text += ", because " + u.Because
	}
	if u.Source != "" {
		text += "; source: " + u.Source
	}
	return text
}

// layered says whose a formula is, and where it stands.
func (w *writer) layered(l diag.Layer, at diag.Span) string {
	p := w.files.Place(at.Start)
	if p.File == "" {
		return ""
	}
	return " [" + map[diag.Layer]string{diag.Trade: "trade", diag.House: "house", diag.Order: "this order"}[l] + ", " + p.File + ":" + strconv.Itoa(p.Line) + "]"
}

// origin says in a few words where a value comes from, or where its derivation stands.
func (w *writer) origin(n *Node) string {
	switch {
	case n.Same && n.Role == Argument:
		return ""
	case n.Same && w.told[n.Name]:
		return "(above)"
	case n.Same:
		return "(below)"
	}
	w.told[n.Name] = true
	words := map[Role]string{Given: "the order", Default: "default", ByField: "material", ByRule: layerWords(n.Layer), Argument: "", ByLine: "line"}[n.Role]
	p := w.files.Place(n.At.Start)
	place := ""
	if p.File != "" {
		place = p.File + ":" + strconv.Itoa(p.Line)
	}
	if words == "" {
		return bracket(place)
	}
	if place == "" {
		return bracket(words)
	}
	return bracket(words + ", " + place)
}

func bracket(s string) string {
	if s == "" {
		return ""
	}
	return "[" + s + "]"
}

func layerWords(l diag.Layer) string {
	return map[diag.Layer]string{diag.Trade: "trade rule", diag.House: "house rule", diag.Order: "rule of this order"}[l]
}

// wrap writes text in lines of at most the width.
func (w *writer) wrap(head, rest, text string) {
	prefix := head
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && diag.Columns(prefix)+diag.Columns(line)+1+diag.Columns(word) > w.width {
			w.b.WriteString(prefix + line + "\n")
			prefix, line = rest, ""
			if head == rest || !strings.HasSuffix(rest, "  ") {
				prefix = rest + "  "
			}
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	w.b.WriteString(strings.TrimRight(prefix+line, " ") + "\n")
}
