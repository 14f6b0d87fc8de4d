package draw

import (
	"fmt"
	"math"
)

// nearestIndex is the DXF colour index that looks most like a colour.
func nearestIndex(color string) int {
	want := seen(color, eyes[0].matrix)
	best, least := 0, math.Inf(1)
	try := func(index int, color string) {
		if d := apart(want, seen(color, eyes[0].matrix)); d < least {
			best, least = index, d
		}
	}
	for _, grey := range indexGreys {
		try(grey.index, grey.color)
	}
	for index := firstHue; index < afterHues; index++ {
		if agreed(index) {
			try(index, indexColor(index))
		}
	}
	return best
}

// indexGreys are the greys on whose index programs agree. Index 7 is black or
// white, whichever shows on the reader's ground.
var indexGreys = []struct {
	index int
	color string
}{{7, "#000000"}, {7, "#ffffff"}, {8, "#808080"}, {9, "#c0c0c0"}}

// The indices that are made by rule: 24 hues of ten.
const firstHue, afterHues = 10, 250

// agreed tells whether programs agree on the colour of an index made by rule:
// they do not on some of the darkest that are half saturated.
func agreed(index int) bool { return index%10 != 7 && index%10 != 9 }

// indexColor is the colour of an index made by rule: hues 15 degrees apart, each
// at five levels, full and half saturated in turn. From memory; a test compares
// it with the table of another program.
func indexColor(index int) string {
	level := []float64{1, 0.65, 0.5, 0.3, 0.15}[index%10/2]
	white := float64(index%2) / 2  // the share of white in the hue
	hue := float64(index/10-1) / 4 // red 0, green 2, blue 4, of 6
	channel := func(at float64) byte {
		full := min(1, max(0, 2-math.Abs(math.Remainder(hue-at, 6))))
		return byte(255 * level * (full + (1-full)*white))
	}
	return fmt.Sprintf("#%02x%02x%02x", channel(0), channel(2), channel(4))
}
