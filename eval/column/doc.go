// Package column works many orders out at once, a column of values at a time, exactly and in whole numbers only.
//
// Every kind and every rounding is known before an order is seen, so each formula gets a unit, of which its values are
// whole multiples, and from the ranges of the asks a bound on the multiple. Where the bound fits, one operation on int64
// works the formula out for an order, with no test for overflow and no common divisor to find: a product multiplies the
// units while the program is made, and only what adds, compares or rounds brings its operands to a common unit. A quotient
// by what varies keeps its divisor in a second column.
//
// What cannot be proven is left out, formula by formula, and said so. What the proof does not cover in one order, a value
// off its unit or outside its range, a divisor of nothing, marks the order: its values must then come from the exact path.
// Nothing is ever wrong in silence.
package column
