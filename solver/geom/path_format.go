package geom

import (
	"math"
	"strconv"
)

// pathDecimals is the precision of String: a tenth of a micrometre, far finer
// than any cutter and coarse enough for short numbers.
const pathDecimals = 4

// String is the path as SVG path data at four decimals.
func (p Path) String() string { return FormatPath(p, pathDecimals) }

// FormatPath writes SVG path data with absolute commands and at most the given
// number of decimals. Arcs beyond a third of a turn are written in pieces, so
// that rounding their ends cannot move their centre. Lines that rounding
// leaves without length are dropped.
func FormatPath(p Path, decimals int) string {
	return string(AppendPath(nil, p, decimals))
}

// AppendPath appends what FormatPath makes.
func AppendPath(dst []byte, p Path, decimals int) []byte {
	w := pathWriter{dst: dst, decimals: decimals, unit: math.Pow(10, float64(-decimals))}
	for i := range p {
		w.contour(&p[i])
	}
	return w.dst
}

// AppendNumber appends v with at most the given number of decimals: no
// exponent, no trailing zeros, no minus zero.
func AppendNumber(dst []byte, v float64, decimals int) []byte {
	from := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', decimals, 64)
	if decimals > 0 {
		for dst[len(dst)-1] == '0' {
			dst = dst[:len(dst)-1]
		}
		if dst[len(dst)-1] == '.' {
			dst = dst[:len(dst)-1]
		}
	}
	if string(dst[from:]) == "-0" {
		dst = append(dst[:from], '0')
	}
	return dst
}

type pathWriter struct {
	dst      []byte
	decimals int
	unit     float64
	at       Vec2 // current point in whole units of the last decimal
	pieces   []Segment
}

// rounded is v as it will be read back, in units of the last decimal.
func (w *pathWriter) rounded(v Vec2) Vec2 {
	return Vec2{math.Round(v.X / w.unit), math.Round(v.Y / w.unit)}
}

func (w *pathWriter) command(c byte) {
	if len(w.dst) > 0 && w.dst[len(w.dst)-1] != '"' {
		w.dst = append(w.dst, ' ')
	}
	w.dst = append(w.dst, c)
}

func (w *pathWriter) number(v float64) {
	if c := w.dst[len(w.dst)-1]; c >= '0' && c <= '9' {
		w.dst = append(w.dst, ' ')
	}
	w.dst = AppendNumber(w.dst, v, w.decimals)
}

func (w *pathWriter) point(v Vec2) {
	w.number(v.X)
	w.number(v.Y)
}

func (w *pathWriter) contour(c *Contour) {
	w.command('M')
	w.point(c.Start)
	start := w.rounded(c.Start)
	w.at = start
	at := c.Start
	for i := range c.Segments {
		s := &c.Segments[i]
		last := c.Closed && i == len(c.Segments)-1
		if s.Kind == Line && last && w.rounded(s.To) == start {
			break // the closing command draws it
		}
		w.pieces = append(w.pieces[:0], *s)
		if s.Kind == Arc {
			k := resolve(at, s)
			if k.kind == Line {
				w.pieces[0] = Segment{Kind: Line, To: s.To}
			} else if k.arcPieces() > 1 {
				w.pieces = k.sub(w.pieces[:0], 0, 1, at, s.To)
			}
		}
		for j := range w.pieces {
			w.segment(&w.pieces[j])
		}
		at = s.To
	}
	if c.Closed {
		w.command('Z')
	}
}

func (w *pathWriter) segment(s *Segment) {
	to := w.rounded(s.To)
	switch s.Kind {
	case Line:
		switch {
		case to == w.at:
		case to.Y == w.at.Y:
			w.command('H')
			w.number(s.To.X)
		case to.X == w.at.X:
			w.command('V')
			w.number(s.To.Y)
		default:
			w.command('L')
			w.point(s.To)
		}
	case Quad:
		w.command('Q')
		w.point(s.C1)
		w.point(s.To)
	case Cubic:
		w.command('C')
		w.point(s.C1)
		w.point(s.C2)
		w.point(s.To)
	case Arc:
		w.command('A')
		w.number(s.RX)
		w.number(s.RY)
		w.number(s.Phi.Degrees())
		w.number(flagNumber(s.Large))
		w.number(flagNumber(s.Sweep))
		w.point(s.To)
	}
	w.at = to
}

func flagNumber(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
