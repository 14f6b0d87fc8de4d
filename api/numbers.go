package api

import (
	"errors"
	"math"
	"strconv"
)

// Numbers in answers have at most six decimals: a nanometre, or a millionth of
// a degree.
const (
	decimals = 6
	perWhole = 1_000_000
)

// round6 is v as answers show it.
func round6(v float64) float64 {
	r := math.Round(v*perWhole) / perWhole
	if r == 0 {
		return 0 // not -0
	}
	return r
}

// exactly is the largest number of millionths that a float64 counts one by one.
const exactly = 1 << 53

// appendNumber appends a finite number as JSON of fixed precision: no exponent,
// no trailing zeros, no minus zero. A number that is not finite, which JSON does
// not have, becomes 0.
func appendNumber(dst []byte, v float64) []byte {
	scaled := v * perWhole
	if !(math.Abs(scaled) < exactly) {
		return appendLarge(dst, v)
	}
	units := int64(math.Round(scaled))
	if units < 0 {
		dst = append(dst, '-')
		units = -units
	}
	whole, rest := units/perWhole, units%perWhole
	dst = strconv.AppendInt(dst, whole, 10)
	if rest == 0 {
		return dst
	}
	var digits [decimals + 1]byte
	digits[0] = '.'
	for i := decimals; i > 0; i-- {
		digits[i] = byte('0' + rest%10)
		rest /= 10
	}
	end := len(digits)
	for digits[end-1] == '0' {
		end--
	}
	return append(dst, digits[:end]...)
}

// appendLarge is for numbers beyond any length.
func appendLarge(dst []byte, v float64) []byte {
	if !finite(v) {
		return append(dst, '0')
	}
	return strconv.AppendFloat(dst, v, 'f', -1, 64)
}

// finite is false of NaN and the infinities, whose difference with themselves
// is not zero.
func finite(v float64) bool { return v-v == 0 }

var errNotANumber = errors.New("api: the solver gave a number that is not finite")
