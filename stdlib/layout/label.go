package layout

import (
	"strconv"
	"strings"
	"unicode"
)

// plainName makes an untrusted name safe to show: what cannot be printed, line
// ends and terminal controls among it, becomes a question mark.
func plainName(name string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, name)
}

// cutShort keeps a text within so many runes.
func cutShort(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	if most < 2 {
		return string(runes[:max(0, most)])
	}
	return string(runes[:most-1]) + "…"
}

// shower is how measures are shown; grid units where the caller has no wish.
func shower(show func(int64) string) func(int64) string {
	if show == nil {
		return func(v int64) string { return strconv.FormatInt(v, 10) }
	}
	return func(v int64) string { return plainName(show(v)) }
}

// title names a copy: its piece, its order, which copy and panel.
func (p Placed) title() string {
	t := p.Piece
	if p.Order != "" {
		t += " (" + p.Order + ")"
	}
	t += " " + strconv.Itoa(p.Copy)
	if p.Panel > 0 {
		t += " panel " + strconv.Itoa(p.Panel)
	}
	return plainName(t)
}

// sheetTitle names a sheet and its size.
func (r Result) sheetTitle(i int, show func(int64) string) string {
	s := r.Sheets[i]
	name := plainName(s.Name)
	if name == "" {
		name = string(r.Form)
	}
	if r.Form == FormStick {
		return strconv.Itoa(i+1) + ". " + name + ", " + show(s.Wide)
	}
	return strconv.Itoa(i+1) + ". " + name + ", " + show(s.Wide) + " by " + show(s.Deep)
}
