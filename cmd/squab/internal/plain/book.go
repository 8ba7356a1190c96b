package plain

import (
	"errors"
	"fmt"

	"squab/eval/check"
	"squab/lang"
	"squab/lang/diag"
)

// What is asked of a sheet and of a stick, whether it comes in one size or in several, and of each of several sizes.
const (
	sheetAsks = `  ask kerf: length from 0 in to 1 yd = 0 in
  ask guillotine: yes/no = no
  ask stages: count from 0 to 10 = 0
  ask grain: yes/no = no
  ask least_wide: length from 0 in to 1000 yd = 0 in
  ask least_deep: length from 0 in to 1000 yd = 0 in
`
	stickAsks = `  ask kerf: length from 0 in to 1 yd = 0 in
  ask nest: yes/no = no
  ask joins: yes/no = no
  ask join_loss: length from 0 in to 1000 yd = 0 in
  ask least_long: length from 0 in to 1000 yd = 0 in
`
	sizeAsks = `  ask name: text = ""
  ask price: money = %[3]s0
  ask only: count from 0 to 10000 = 0
`
)

// Each piece, and each set of measures of a material, is read as an order of a recipe, so that it is written and told of as orders are.
const book = `shop "" {
  currency = %[1]s
  shows = %[2]s
}
choice panels = centred, side_by_side

recipe roll {
  ask name: text = "roll"
  ask wide: length from 1/64 in to 1000 yd
  ask long: length from 0 in to 1000 yd = 0 in
  ask gap: length from 0 in to 1 yd = 0 in
  ask repeat_along: length from 0 in to 1000 yd = 0 in
  ask repeat_across: length from 0 in to 1000 yd = 0 in
  ask first_along: length from 0 in to 1000 yd = 0 in
  ask first_across: length from 0 in to 1000 yd = 0 in
  ask half_drop: yes/no = no
  ask one_way: yes/no = no
  ask least_wide: length from 0 in to 1000 yd = 0 in
  ask least_deep: length from 0 in to 1000 yd = 0 in
}
recipe sheet {
  ask name: text = "sheet"
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
` + sheetAsks + `}
recipe sheets {
  ask name: text = "sheet"
` + sheetAsks + `}
recipe stick {
  ask name: text = "stick"
  ask long: length from 1/64 in to 1000 yd
` + stickAsks + `}
recipe sticks {
  ask name: text = "stick"
` + stickAsks + `}
recipe sheet_size {
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
` + sizeAsks + `}
recipe stick_size {
  ask long: length from 1/64 in to 1000 yd
` + sizeAsks + `}
recipe flaw {
  ask x: length from 0 in to 1000 yd = 0 in
  ask y: length from 0 in to 1000 yd
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
}
recipe remnant {
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
}
recipe bias {
  ask name: text = "bias"
  ask wide: length from 1/64 in to 1 yd
  ask long: length from 1/64 in to 1000 yd
  ask seam: length from 0 in to 12 in = 0 in
}
recipe flat_piece {
  ask name: text
  ask material: text = ""
  ask wide: length from 1/64 in to 1000 yd
  ask deep: length from 1/64 in to 1000 yd
  ask count: count from 1 to 10000 = 1
  ask turn: yes/no = no
  ask end_for_end: yes/no = yes
  ask match_x: length from 0 in to 1000 yd = 0 in
  ask match_y: length from 0 in to 1000 yd = 0 in
  ask join: length from 0 in to 12 in = 0 in
  ask panels: panels = centred
}
recipe long_piece {
  ask name: text
  ask material: text = ""
  ask long: length from 1/64 in to 1000 yd
  ask count: count from 1 to 10000 = 1
  ask mitre: length from 0 in to 1000 yd = 0 in
}
`

// signOf is the sign of a currency of which amounts can be written; nothing for any other.
func signOf(currency string) string {
	switch currency {
	case "USD", "CAD", "AUD", "NZD":
		return "$"
	case "GBP":
		return "£"
	case "EUR":
		return "€"
	}
	return ""
}

func checkBook(currency, shows string) (*check.Program, error) {
	sign := signOf(currency)
	if sign == "" {
		return nil, fmt.Errorf("--currency is USD, CAD, AUD, NZD, GBP or EUR, not %q", currency)
	}
	files := &diag.Files{}
	var problems diag.List
	src := files.Add("pieces", fmt.Sprintf(book, currency, shows, sign), diag.House)
	program := check.Check(files, []*lang.File{lang.Parse(src, lang.Limits{}, &problems)}, &problems)
	if problems.HasErrors() {
		return nil, errors.New("--shows is a step and a unit, as 1/16 in or 1 mm")
	}
	return program, nil
}
