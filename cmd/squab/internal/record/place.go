package record

import (
	"bytes"
	"encoding/json"
)

// frame is an object or a list that a reader of tokens is inside of.
type frame struct {
	isList bool
	key    string // of the member that is being read; of a list, the name of the item
	isName bool   // the next text is a key
}

// placeOf says in which part of a record a text of it ends: "order 7, cells.cut_wide"; "" before the first part.
func placeOf(data []byte) string {
	w := walker{in: json.NewDecoder(bytes.NewReader(data))}
	for w.step() {
	}
	return said(w.path())
}

// walker follows tokens, and remembers what they are inside of.
type walker struct {
	in     *json.Decoder
	inside []frame
}

func (w *walker) path() []string {
	var path []string
	for _, f := range w.inside {
		if f.key != "" {
			path = append(path, f.key)
		}
	}
	return path
}

// step takes one token; false at the end of what is there.
func (w *walker) step() bool {
	t, err := w.in.Token()
	if err != nil {
		return false
	}
	top := w.top()
	switch t := t.(type) {
	case json.Delim:
		w.nest(t)
	case string:
		switch {
		case top != nil && !top.isList && top.isName:
			top.key, top.isName = t, false
			return true
		case top != nil && !top.isList:
			w.name(top.key, t)
		}
		w.ended()
	default:
		w.ended()
	}
	return true
}

func (w *walker) top() *frame {
	if len(w.inside) == 0 {
		return nil
	}
	return &w.inside[len(w.inside)-1]
}

// nest goes into an object or a list, or out of one.
func (w *walker) nest(t json.Delim) {
	switch t {
	case '{', '[':
		w.inside = append(w.inside, frame{isList: t == '[', isName: t == '{'})
	default:
		w.inside = w.inside[:len(w.inside)-1]
		w.ended()
	}
}

// ended goes on to the next member.
func (w *walker) ended() {
	if top := w.top(); top != nil {
		top.isName = !top.isList
		if top.isList {
			top.key = ""
		}
	}
}

// name calls the item that an object is by its id, order or name.
func (w *walker) name(key, text string) {
	if len(w.inside) < 2 || key != "id" && key != "order" && key != "name" {
		return
	}
	if list := &w.inside[len(w.inside)-2]; list.isList && list.key == "" {
		list.key = text
	}
}
