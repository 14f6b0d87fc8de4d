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

// numbers appends JSON numbers of fixed precision: no exponent, no trailing
// zeros, no minus zero.
type numbers struct {
	dst []byte
	bad bool
}

// exactly is the largest number of millionths that a float64 counts one by one.
const exactly = 1 << 53

func (n *numbers) number(v float64) {
	scaled := v * perWhole
	if !(math.Abs(scaled) < exactly) {
		n.large(v)
		return
	}
	units := int64(math.Round(scaled))
	if units < 0 {
		n.dst = append(n.dst, '-')
		units = -units
	}
	whole, rest := units/perWhole, units%perWhole
	n.dst = strconv.AppendInt(n.dst, whole, 10)
	if rest == 0 {
		return
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
	n.dst = append(n.dst, digits[:end]...)
}

// large writes numbers beyond any length, and marks those JSON does not have.
func (n *numbers) large(v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		n.bad = true
		n.dst = append(n.dst, '0')
		return
	}
	n.dst = strconv.AppendFloat(n.dst, v, 'f', -1, 64)
}

var errNotANumber = errors.New("api: the solver gave a number that is not finite")

func (n *numbers) fault() error {
	if n.bad {
		return errNotANumber
	}
	return nil
}
