// Package layout lays pieces on material: roll goods (LayRoll), sheets
// (LaySheets), sticks and reels (LaySticks), and values a single sheet cut by
// guillotine (BestCut).
//
// Every measure is an int64 count of grid units. The caller chooses the grid:
// Scale finds the least common denominator of exact fractions, so that 1/16 in
// and 25 mm land on whole units. No measure, area or cost is ever rounded here.
// Areas are units squared, costs are in the currency's smallest coin.
//
// On a roll, X runs across the cloth from one selvage and Y runs along it from
// the cut end. On a sheet, X runs along Wide and Y along Deep. On a stick, X
// runs along it.
//
// Each Result carries a lower bound that is a proof (integer arithmetic only)
// and says whether the layout meets it. Answers depend on the input and on
// Effort.Work alone, never on the number of cores.
package layout
