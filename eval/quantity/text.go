package quantity

import (
	"math/big"
	"strconv"
)

// String is a in lowest terms: "197/8", "25", "-5/8". An approximation is a
// decimal and the bound that it keeps to: "1.4142 ± 0.0001", with at most
// shownDigits digits.
func (a Number) String() string {
	var room [48]byte
	return string(a.Append(room[:0]))
}

// Append appends String to dst.
func (a Number) Append(dst []byte) []byte {
	if a.isWide() {
		return a.appendWide(dst)
	}
	dst = strconv.AppendInt(dst, a.num, 10)
	if a.den == 0 {
		return dst
	}
	return strconv.AppendInt(append(dst, '/'), a.den, 10)
}

func (a Number) appendWide(dst []byte) []byte {
	if !a.Exact() {
		value, bound := a.decimals()
		return append(append(append(dst, value...), " ± "...), bound...)
	}
	dst = a.wide.value.Num().Append(dst, 10)
	if a.wide.value.IsInt() {
		return dst
	}
	return a.wide.value.Denom().Append(append(dst, '/'), 10)
}

// shownDigits is how many leading digits of an approximation are written.
const shownDigits = 32

// decimals writes an approximation as two decimals; the bound written covers
// what the writing itself leaves out.
func (a Number) decimals() (value, bound string) {
	places := decimalPlaces(&a.wide.bound)
	if a.wide.value.Sign() != 0 {
		places = min(places, shownDigits+decimalPlaces(&a.wide.value))
	}
	places = max(places, 0)
	ten := new(big.Rat).SetInt(tenTo(places))
	scaled := new(big.Rat).Mul(&a.wide.value, ten)
	near := nearest.big(scaled)
	moved := scaled.Sub(scaled, new(big.Rat).SetInt(near))
	room := new(big.Rat).Mul(&a.wide.bound, ten)
	room.Add(room, moved.Abs(moved))
	return pointed(near.String(), places), pointed(ceiling.big(room).String(), places)
}

// decimalPlaces is about how many places after the point the first digit of
// r stands, by 1233/4096 for the logarithm of 2.
func decimalPlaces(r *big.Rat) int { return -scale(r) * 1233 >> 12 }

func tenTo(places int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
}

// pointed puts a decimal point into a whole number's digits.
func pointed(digits string, places int) string {
	sign := ""
	if digits[0] == '-' {
		sign, digits = "-", digits[1:]
	}
	if places == 0 {
		return sign + digits
	}
	for len(digits) <= places {
		digits = "0" + digits
	}
	return sign + digits[:len(digits)-places] + "." + digits[len(digits)-places:]
}
