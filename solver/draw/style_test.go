package draw

import (
	"fmt"
	"math"
	"strconv"
	"testing"
)

// Full dichromacy in linear RGB. Source: Machado, Oliveira and Fernandes,
// A physiologically-based model for simulation of color vision deficiency,
// IEEE TVCG 15 (2009), matrices for severity 1.0.
var vision = map[string][9]float64{
	"full":         {1, 0, 0, 0, 1, 0, 0, 0, 1},
	"protanopia":   {0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998},
	"deuteranopia": {0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881},
	"tritanopia":   {1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900},
}

// lab is the CIE L*a*b* colour (D65) that an eye sees.
func lab(t *testing.T, hex string, m [9]float64) [3]float64 {
	t.Helper()
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil || len(hex) != 7 || hex[0] != '#' {
		t.Fatalf("colour %q is not #rrggbb", hex)
	}
	linear := func(c uint64) float64 { // IEC 61966-2-1
		v := float64(c&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	r, g, b := linear(n>>16), linear(n>>8), linear(n)
	see := func(i int) float64 { return min(1, max(0, m[i]*r+m[i+1]*g+m[i+2]*b)) }
	r, g, b = see(0), see(3), see(6)
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*b) / 0.95047)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*b)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*b) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// Lines that mean different work must differ in colour for every eye.
func TestDefaultColoursForEveryEye(t *testing.T) {
	styles := DefaultStyles()
	work := []Operation{Cut, ScoreMountain, ScoreValley, Perforate, Glue}
	for name, m := range vision {
		for i, a := range work {
			for _, b := range work[i+1:] {
				p, q := lab(t, styles[a].Color, m), lab(t, styles[b].Color, m)
				// 2.3 is just noticeable side by side; thin lines apart on a
				// sheet want about ten times that.
				if d := math.Hypot(math.Hypot(p[0]-q[0], p[1]-q[1]), p[2]-q[2]); d < 23 {
					t.Errorf("%s: %s and %s are %.1f apart", name, a, b, d)
				}
			}
		}
	}
}

func TestStyleTables(t *testing.T) {
	for name, table := range map[string]StyleTable{"default": DefaultStyles(), "mono": MonochromeStyles()} {
		layers, looks := map[string]bool{}, map[string]Operation{}
		for i, s := range table {
			op := Operation(i)
			if s.Layer == "" || layers[s.Layer] || s.Width <= 0 || s.ACI < 1 || s.ACI > 255 || len(s.Dash)%2 != 0 {
				t.Errorf("%s: style of %s is not whole: %+v", name, op, s)
			}
			layers[s.Layer] = true
			lab(t, s.Color, vision["full"])
			if op == Print || op == Label || op == Registration {
				continue // told apart by what they show
			}
			look := fmt.Sprint(s.Dash)
			if name == "default" {
				look += s.Color
			}
			if other, taken := looks[look]; taken {
				t.Errorf("%s: %s looks like %s", name, op, other)
			}
			looks[look] = op
		}
	}
}
