package main

import (
	"fmt"
	"strings"
	"unicode"

	"squab/cmd/squab/internal/print"
)

// closing is the last line of a run: every order is in it.
func (t tally) closing() string {
	if t.cut+t.refused == 0 {
		return "There are no orders.\n"
	}
	line := fmt.Sprintf("%s: %d cut, %d refused", print.Counted(t.cut+t.refused, "order"), t.cut, t.refused)
	if t.refused > 0 {
		line += " (" + strings.Join(t.refusedIDs, ", ")
		if more := t.refused - len(t.refusedIDs); more > 0 {
			line += fmt.Sprintf(" and %d more", more)
		}
		line += ")"
	}
	line = print.Paragraph(line + ".")
	if t.cut > 0 {
		line = "\n" + line
	}
	return line
}

func refusedHead(id string) string {
	if strings.HasPrefix(id, "line ") {
		return "the order in " + id + " is refused:\n"
	}
	return "order " + cleanID(id) + " is refused:\n"
}

// cleanID shows an order's id on one line.
func cleanID(id string) string {
	const most = 60
	id = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return unicode.ReplacementChar
	}, id)
	if runes := []rune(id); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return id
}
