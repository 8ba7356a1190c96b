package quantity

// The angles are in degrees, so whole turns and the right angle come off
// exactly, and pi enters only for what is left. The values that are rational
// come out exact: by Niven's theorem (Irrational Numbers, 1956, cor. 3.12)
// those are the sines 0, ±1/2 and ±1 and the tangents 0 and ±1, and no others
// at a rational number of degrees.

// Sin is the sine of an angle in degrees; always true.
func Sin(degrees Number) (Number, bool) {
	if degrees.Exact() {
		return sine(degrees), true
	}
	// The sine never changes faster than its angle in radians, and 22/7 is
	// above pi.
	drift := degrees.Within().Mul(Frac(22, 7*180))
	return sine(degrees.middle()).loosen(drift), true
}

// Cos is the cosine of an angle in degrees; always true.
func Cos(degrees Number) (Number, bool) { return Sin(degrees.Add(Int(90))) }

// Tan is the tangent of an angle in degrees; false at the right angles, where
// there is none, and where a bound reaches one.
func Tan(degrees Number) (Number, bool) {
	if degrees.Exact() {
		return tangent(degrees)
	}
	branch, _ := degrees.Add(Int(90)).Div(Int(180))
	if _, ok := branch.whole(floor); !ok {
		return Number{}, false
	}
	return monotone(degrees, tangent)
}

// Asin is the angle in degrees, -90 to 90, that has the sine x; false when x
// is not, or may not be, from -1 to 1.
func Asin(x Number) (Number, bool) {
	if !x.Exact() {
		return monotone(x, Asin)
	}
	across, ok := otherSide(x)
	switch {
	case !ok:
		return Number{}, false
	case x == Frac(1, 2):
		return Int(30), true
	case x == Frac(-1, 2):
		return Int(-30), true
	}
	return angle(x, across), true
}

// Acos is the angle in degrees, 0 to 180, that has the cosine x; false when x
// is not, or may not be, from -1 to 1.
func Acos(x Number) (Number, bool) {
	if !x.Exact() {
		return monotone(x, Acos)
	}
	across, ok := otherSide(x)
	switch {
	case !ok:
		return Number{}, false
	case x.middleSign() < 0:
		opposite, _ := Acos(x.Neg())
		return Int(180).Sub(opposite), true
	case x == Frac(1, 2):
		return Int(60), true
	}
	return angle(across, x), true
}

// Atan is the angle in degrees, between -90 and 90, that has the tangent x;
// always true.
func Atan(x Number) (Number, bool) {
	if !x.Exact() {
		return monotone(x, Atan)
	}
	return angle(x, Int(1)), true
}

// otherSide is the side that makes a right triangle of x and a long side of 1.
func otherSide(x Number) (Number, bool) { return Sqrt(Int(1).Sub(x.Mul(x))) }

func sine(degrees Number) Number {
	turn, _ := degrees.Mod(Int(360))
	if half := turn.Sub(Int(180)); half.middleSign() >= 0 {
		return quadrantSine(half).Neg()
	}
	return quadrantSine(turn)
}

// quadrantSine is the sine of an exact angle from 0 up to 180.
func quadrantSine(degrees Number) Number {
	if past := degrees.Sub(Int(90)); past.middleSign() > 0 {
		degrees = Int(90).Sub(past)
	}
	switch {
	case degrees == Int(0):
		return Number{}
	case degrees == Int(30):
		return Frac(1, 2)
	case degrees == Int(90):
		return Int(1)
	}
	if rest := Int(90).Sub(degrees); rest.less(degrees) {
		return cosineSeries(radians(rest))
	}
	return sineSeries(radians(degrees))
}

// less compares exact numbers.
func (a Number) less(b Number) bool {
	order, _ := a.Cmp(b)
	return order < 0
}

func tangent(degrees Number) (Number, bool) {
	half, _ := degrees.Mod(Int(180))
	switch {
	case half == Int(45):
		return Int(1), true
	case half == Int(135):
		return Int(-1), true
	}
	return sineOverCosine(half)
}

func sineOverCosine(degrees Number) (Number, bool) {
	return sine(degrees).Div(sine(degrees.Add(Int(90))))
}

func radians(degrees Number) Number { return degrees.Mul(Pi()).Mul(Frac(1, 180)) }

// angle is the angle in degrees, from -90 to 90, of a slope of rise over run,
// where run is 0 or more and not both are 0.
func angle(rise, run Number) Number {
	switch {
	case rise.middleSign() < 0:
		return angle(rise.Neg(), run).Neg()
	case run.middle().less(rise.middle()):
		return Int(90).Sub(angle(run, rise))
	}
	slope, _ := rise.Div(run)
	switch slope {
	case Number{}:
		return Number{}
	case Int(1):
		return Int(45)
	}
	return slantAngle(slope)
}

// slantAngle halves the angle first, by tan(x/2) = tan x / (1 + sqrt(1 +
// tan² x)). Once is enough: again costs as much as thirty terms of the series.
func slantAngle(slope Number) Number {
	one := Int(1)
	long, _ := Sqrt(one.Add(slope.Mul(slope)))
	slope, _ = slope.Div(one.Add(long))
	degrees, _ := arctangent(slope).Mul(Int(2 * 180)).Div(Pi())
	return degrees
}
