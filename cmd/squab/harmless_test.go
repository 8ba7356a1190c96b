package main

import (
	"strings"
	"testing"
	"unicode"
)

// hostileHouse says in every text that a house can have what a terminal would obey: a colour, a bell, a mark that turns the direction of writing.
const hostileHouse = `shop "EVIL shop" {
  currency = USD
}
choice side "EVIL choice" = left, right
kind wool: roll "EVIL kind" {
  usable: length = 50 in  "EVIL help" because "EVIL reason" source "EVIL source"
  price:  money per length
  sold:   length = 1 in
}
material grey: wool "EVIL material" {
  price = $3 per yd  because "EVIL reason" source "EVIL source"
}
rule ease(run: length): length {
  1 in  when run > 30 in  because "EVIL case" source "EVIL source"
  2 in  otherwise          because "EVIL otherwise"
}
amend labour_rate = $40 per h
amend ease(run) from 2026-01-01 {
  3 in  when run > 40 in  because "EVIL amendment"
}
table turns(run: length from 0 in to 90 in): length {
  run         | gives | because
  up to 10 in | 1 in  | "EVIL row"
  over 10 in  | 2 in  | "EVIL row"
}
caution knives "EVIL caution" because "EVIL reason" source "EVIL source"
recipe cover "EVIL recipe" {
  ask wide: length from 1 in to 80 in  "EVIL ask"
  ask note: text = "EVIL words"
  ask stuff: wool = grey
  across = wide + ease(wide) + turns(wide)  because "EVIL cell"
  need wide < 70 in else "EVIL need {note}"
  piece top from stuff = across by 20 in
  marks holes on top = [3 in at 3 in, 5 in at 3 in] { hole = 1/4 in }
  work cutting = 3 min  because "EVIL work"
  step "EVIL step {note}"
  caution knives
}
price {
  charge cloth = bought  because "EVIL charge"
}
order 1 "EVIL order" {
  make cover
  date = 2026-04-02
  wide = 45 in tolerance 1/4 in  because "EVIL given"
}
order 2 "EVIL order" {
  make cover
  date = 2026-04-02
  wide = 75 in
}
proof "EVIL proof" source "EVIL source" {
  make cover
  date = 2026-04-02
  wide = 45 in
  expect across = 49 in
  expect across = 50 in
}
`

// obeyed is what a terminal does something else with than show it.
func obeyed(r rune) bool {
	return unicode.IsControl(r) && r != '\n' || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

func TestNoVerbWritesWhatATerminalObeys(t *testing.T) {
	house(t)
	put(t, "evil.squab", strings.ReplaceAll(hostileHouse, "EVIL", "a\x1b[31m\x07\u202eb \u0085 漢字"))
	put(t, "plain.squab", strings.ReplaceAll(strings.ReplaceAll(hostileHouse, "EVIL", "a"), "2 in  otherwise", "5/2 in  otherwise"))
	for _, line := range []string{
		"cut evil.squab", "cut evil.squab --by-area", "cut evil.squab --together", "cut evil.squab --order 3\x1b[31m",
		"why across evil.squab --order 1", "why price.cloth evil.squab --order 1", "why ease(wide) evil.squab --order 1", "why note evil.squab --order 1",
		"why grey.price evil.squab --order 1", "why nothing\x1b evil.squab --order 1", "why across evil.squab --order 2",
		"reach ease evil.squab", "reach turns evil.squab", "reach grey evil.squab", "reach cover.wide evil.squab", "reach no\x1b evil.squab",
		"check evil.squab", "check evil\x1b.squab", "prove evil.squab", "prove evil.squab --reach",
		"compare evil.squab plain.squab", "compare plain.squab evil.squab",
		"seek 'across = 50 in by wide' evil.squab --order 1", "seek 'across = 999 in by wide' evil.squab --order 1", "lean across evil.squab --order 1", "spread evil.squab --order 1",
		"ticket evil.squab --order 1 --out no/where\x1b", "start new\x1b\u202e", "start new\x1b\u202e", "tidy --diff evil\x1b.squab", "book evil.squab --format markdown",
	} {
		r := squab("", words(line)...)
		for name, text := range map[string]string{"standard output": r.out, "standard error": r.err} {
			if i := strings.IndexFunc(text, obeyed); i >= 0 {
				from := max(0, strings.LastIndexByte(text[:i], '\n'))
				t.Errorf("squab %q: %s has %q", line, name, text[from:min(len(text), i+20)])
			}
		}
	}
}
