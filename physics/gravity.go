package physics

import (
	"math"
	"regexp"
	"strconv"
)

// AnyGravity is the gravity of a place that nobody named: the standard one, with
// what it differs by from the equator to the poles at sea level, 9.780 to
// 9.832 m/s² (WGS 84), anywhere within equally likely.
func AnyGravity() Measured[Acceleration] {
	return Measured[Acceleration]{Value: StandardGravity, U: Acceleration(0.026 / math.Sqrt(3)), Assumed: true}
}

// GravityAt is the gravity at a latitude in degrees, north or south: that of the
// ellipsoid of WGS 84 at sea level (NIMA TR8350.2, eq. 4-1). Its uncertainty is for what
// is not known: up to a kilometre of height, 0.3086 mm/s² each hundred metres, anywhere
// within equally likely, and some 0.5 mm/s² of the ground. The error is an *InputError.
func GravityAt(latitude float64) (Measured[Acceleration], error) {
	if !(math.Abs(latitude) <= 90) {
		return Measured[Acceleration]{}, &InputError{What: "latitude", Why: "must lie between 0° and 90°, not at " + number(latitude) + "°",
			Fix: "write it like 52°"}
	}
	const (
		equator = 9.7803253359
		k       = 0.00193185265241
		e2      = 0.00669437999013
		height  = 0.3086e-2 // m/s² in a kilometre
		ground  = 0.5e-3
	)
	s := math.Pow(math.Sin(latitude*math.Pi/180), 2)
	g := equator * (1 + k*s) / math.Sqrt(1-e2*s)
	return Measured[Acceleration]{Value: Acceleration(g), U: Acceleration(math.Hypot(height/math.Sqrt(3), ground)), Assumed: true}, nil
}

var latitude = regexp.MustCompile(`^\+?([0-9]+(?:\.[0-9]+)?)\s*(?:°|deg)\s*[NS]?$`)

// ParseGravity reads the gravity of a place, "9.812m/s2±0.001m/s2", or its latitude,
// "52°", "52deg" or "33.9°S". The error is an *InputError.
func ParseGravity(s string) (Measured[Acceleration], error) {
	if m := latitude.FindStringSubmatch(s); m != nil {
		degrees, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			degrees = math.Inf(1)
		}
		return GravityAt(degrees)
	}
	return LocalGravity.Parse(s)
}
