// Package quantity is exact arithmetic for a workroom: numbers that are never
// rounded unless a rule says so, the dimensions and units they are measured
// in, and the fractions they are written and shown as.
package quantity
