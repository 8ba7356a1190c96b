package quantity

import "math/big"

// Number is an exact rational, or an approximation that carries a proven
// bound. The zero value is 0. A Number never changes.
type Number struct {
	num, den int64
	wide     *wide
}

type wide struct{ value, bound *big.Rat }

// MaxDigits is the most digits that Parse reads in one number.
const MaxDigits = 1000

func Int(n int64) Number                              { return Number{num: n} }
func Frac(n, d int64) Number                          { return FromRat(big.NewRat(n, max(d, 1))) }
func FromRat(r *big.Rat) Number                       { return Number{wide: &wide{value: r}} }
func Parse(s string) (Number, error)                  { return Number{}, nil }
func (a Number) Add(b Number) Number                  { return a }
func (a Number) Sub(b Number) Number                  { return a }
func (a Number) Mul(b Number) Number                  { return a }
func (a Number) Neg() Number                          { return a }
func (a Number) Abs() Number                          { return a }
func (a Number) Div(b Number) (Number, bool)          { return a, true }
func (a Number) Cmp(b Number) (int, bool)             { return 0, true }
func (a Number) Equal(b Number) bool                  { return true }
func (a Number) Sign() (int, bool)                    { return 0, true }
func (a Number) IsInt() bool                          { return true }
func (a Number) Int64() (int64, bool)                 { return a.num, true }
func (a Number) Exact() bool                          { return true }
func (a Number) Within() Number                       { return Number{} }
func (a Number) Rat() *big.Rat                        { return new(big.Rat) }
func (a Number) Bits() int                            { return 0 }
func (a Number) Mod(b Number) (Number, bool)          { return a, true }
func (a Number) RoundUp(step Number) (Number, bool)   { return a, true }
func (a Number) RoundDown(step Number) (Number, bool) { return a, true }
func (a Number) RoundNear(step Number) (Number, bool) { return a, true }
func (a Number) String() string                       { return "" }
func Min(a, b Number) (Number, bool)                  { return a, true }
func Max(a, b Number) (Number, bool)                  { return a, true }
func Pow(a Number, n int) (Number, bool)              { return a, true }
func Sqrt(a Number) (Number, bool)                    { return a, true }
func Pi() Number                                      { return Number{} }
func Sin(degrees Number) (Number, bool)               { return degrees, true }
func Cos(degrees Number) (Number, bool)               { return degrees, true }
func Tan(degrees Number) (Number, bool)               { return degrees, true }
func Asin(x Number) (Number, bool)                    { return x, true }
func Acos(x Number) (Number, bool)                    { return x, true }
func Atan(x Number) (Number, bool)                    { return x, true }
func Cents(n Number) (Number, bool)                   { return n, true }
