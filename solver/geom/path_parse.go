package geom

import (
	"fmt"
	"math"
	"strconv"
)

const (
	// MaxPathSegments is the most segments ParsePath takes: more than any
	// outline cut from paper, few enough that every later step stays quick.
	MaxPathSegments = 10000
	// MaxPathCoordinate is the largest magnitude of any number in path data,
	// and of any coordinate that relative commands add up to, mm.
	MaxPathCoordinate = 1e6
)

// PathError says where path data stop making sense. Offset counts bytes.
type PathError struct {
	Offset int
	Reason string
}

func (e *PathError) Error() string {
	return fmt.Sprintf("path data at byte %d: %s", e.Offset, e.Reason)
}

// ParsePath reads SVG path data (the grammar of SVG 2, section 9.3.9, and the
// number form "1." that SVG 1.1 also allows). Numbers are taken as millimetres
// with y as written: nothing is flipped. Empty data make an empty path;
// contours without a segment are dropped. Arcs come out corrected as the
// implementation notes F.6 of SVG 1.1 say: no radius below zero or too small
// for its ends, straight lines for a zero radius, nothing between equal ends.
//
// The error is always a *PathError.
func ParsePath(s string) (Path, error) {
	p := pathParser{s: s}
	if err := p.run(); err != nil {
		return nil, err
	}
	return p.path, nil
}

type pathParser struct {
	s        string
	i        int
	path     Path
	current  Contour
	at       Vec2 // current point
	control  Vec2 // last control point, for the smooth commands
	segments int
}

func (p *pathParser) fail(offset int, format string, args ...any) error {
	return &PathError{Offset: offset, Reason: fmt.Sprintf(format, args...)}
}

func (p *pathParser) run() error {
	p.space()
	previous := byte(0)
	for p.i < len(p.s) {
		at := p.i
		command := p.s[p.i]
		if previous == 0 && command|0x20 != 'm' {
			return p.fail(at, "path data must begin with M or m")
		}
		p.i++
		relative := command >= 'a'
		upper := command &^ 0x20
		count, ok := pathArguments(upper)
		if !ok {
			return p.fail(at, "unknown command %q", rune(command))
		}
		p.space()
		if count == 0 {
			p.close()
			previous = upper
			p.space()
			continue
		}
		for first := true; first || p.more(); first = false {
			if err := p.command(upper, previous, relative); err != nil {
				return err
			}
			previous = upper
			if upper == 'M' {
				upper = 'L' // further pairs after a move are lines
			}
		}
	}
	p.finish(false)
	return nil
}

func pathArguments(command byte) (int, bool) {
	switch command {
	case 'Z':
		return 0, true
	case 'H', 'V':
		return 1, true
	case 'M', 'L', 'T':
		return 2, true
	case 'Q', 'S':
		return 4, true
	case 'C':
		return 6, true
	case 'A':
		return 7, true
	}
	return 0, false
}

// command reads one set of arguments and adds what it draws.
func (p *pathParser) command(command, previous byte, relative bool) error {
	start := p.i
	if command == 'A' {
		return p.arc(relative)
	}
	count, _ := pathArguments(command)
	var n [6]float64
	for j := range count {
		if j > 0 {
			p.comma()
		}
		v, err := p.number()
		if err != nil {
			return err
		}
		n[j] = v
	}
	base := Vec2{}
	if relative {
		base = p.at
	}
	pt := func(j int) Vec2 { return Vec2{n[j] + base.X, n[j+1] + base.Y} }
	switch command {
	case 'M':
		to := pt(0)
		if err := p.check(start, to); err != nil {
			return err
		}
		p.finish(false)
		p.current = Contour{Start: to}
		p.at, p.control = to, to
		return nil
	case 'L':
		return p.add(start, Segment{Kind: Line, To: pt(0)})
	case 'H':
		return p.add(start, Segment{Kind: Line, To: Vec2{n[0] + base.X, p.at.Y}})
	case 'V':
		return p.add(start, Segment{Kind: Line, To: Vec2{p.at.X, n[0] + base.Y}})
	case 'Q':
		return p.add(start, Segment{Kind: Quad, C1: pt(0), To: pt(2)})
	case 'T':
		c := p.at
		if previous == 'Q' || previous == 'T' {
			c = p.at.Add(p.at.Sub(p.control))
		}
		return p.add(start, Segment{Kind: Quad, C1: c, To: pt(0)})
	case 'S':
		c := p.at
		if previous == 'C' || previous == 'S' {
			c = p.at.Add(p.at.Sub(p.control))
		}
		return p.add(start, Segment{Kind: Cubic, C1: c, C2: pt(0), To: pt(2)})
	}
	return p.add(start, Segment{Kind: Cubic, C1: pt(0), C2: pt(2), To: pt(4)})
}

func (p *pathParser) arc(relative bool) error {
	start := p.i
	var n [3]float64
	for j := range n {
		v, err := p.number()
		if err != nil {
			return err
		}
		n[j] = v
		p.comma()
	}
	large, err := p.flag()
	if err != nil {
		return err
	}
	p.comma()
	sweep, err := p.flag()
	if err != nil {
		return err
	}
	p.comma()
	x, err := p.number()
	if err != nil {
		return err
	}
	p.comma()
	y, err := p.number()
	if err != nil {
		return err
	}
	to := Vec2{x, y}
	if relative {
		to = to.Add(p.at)
	}
	s := Segment{Kind: Arc, RX: n[0], RY: n[1], Phi: normalAxis(Degrees(n[2])), Large: large, Sweep: sweep, To: to}
	if to == p.at {
		p.control = p.at
		return p.countSegment(start)
	}
	if k := resolve(p.at, &s); k.kind == Line {
		s = Segment{Kind: Line, To: to}
	} else {
		s.RX, s.RY = k.rx, k.ry
		if k.circular() {
			s.Phi = 0
		}
		if err := p.check(start, Vec2{k.rx, k.ry}); err != nil {
			return err
		}
	}
	return p.add(start, s)
}

func (p *pathParser) countSegment(offset int) error {
	if p.segments++; p.segments > MaxPathSegments {
		return p.fail(offset, "more than %d segments", MaxPathSegments)
	}
	return nil
}

func (p *pathParser) add(offset int, s Segment) error {
	if err := p.countSegment(offset); err != nil {
		return err
	}
	if err := p.check(offset, s.To); err != nil {
		return err
	}
	p.control = s.To
	switch s.Kind {
	case Quad:
		p.control = s.C1
	case Cubic:
		p.control = s.C2
		if err := p.check(offset, s.C2); err != nil {
			return err
		}
	}
	if err := p.check(offset, s.C1); err != nil {
		return err
	}
	p.current.Segments = append(p.current.Segments, s)
	p.at = s.To
	return nil
}

func (p *pathParser) check(offset int, v Vec2) error {
	if !(math.Abs(v.X) <= MaxPathCoordinate && math.Abs(v.Y) <= MaxPathCoordinate) {
		return p.fail(offset, "coordinate beyond %g", float64(MaxPathCoordinate))
	}
	return nil
}

func (p *pathParser) close() {
	start := p.current.Start
	p.finish(true)
	// Drawing may go on from the start of the contour just closed.
	p.current = Contour{Start: start}
	p.at, p.control = start, start
}

func (p *pathParser) finish(closed bool) {
	if len(p.current.Segments) > 0 {
		p.current.Closed = closed
		p.path = append(p.path, p.current)
	}
}

func (p *pathParser) space() bool {
	from := p.i
	for p.i < len(p.s) {
		switch p.s[p.i] {
		case ' ', '\t', '\n', '\r', '\f':
			p.i++
			continue
		}
		break
	}
	return p.i > from
}

// comma skips the separator between two numbers: space, one comma, or nothing.
func (p *pathParser) comma() {
	p.space()
	if p.i < len(p.s) && p.s[p.i] == ',' {
		p.i++
		p.space()
	}
}

// more tells whether another set of arguments follows. A comma promises one,
// and the number reader then reports what is missing.
func (p *pathParser) more() bool {
	p.space()
	if p.i == len(p.s) {
		return false
	}
	c := p.s[p.i]
	if c == ',' {
		p.comma()
		return true
	}
	return c == '+' || c == '-' || c == '.' || c >= '0' && c <= '9'
}

func (p *pathParser) flag() (bool, error) {
	if p.i < len(p.s) && (p.s[p.i] == '0' || p.s[p.i] == '1') {
		p.i++
		return p.s[p.i-1] == '1', nil
	}
	return false, p.fail(p.i, "an arc flag must be 0 or 1")
}

func (p *pathParser) digits() int {
	from := p.i
	for p.i < len(p.s) && p.s[p.i] >= '0' && p.s[p.i] <= '9' {
		p.i++
	}
	return p.i - from
}

// number reads one number of the grammar. Words like "nan" or "0x1p2", which
// the standard library would take, never get as far as its parser.
func (p *pathParser) number() (float64, error) {
	from := p.i
	if p.i < len(p.s) && (p.s[p.i] == '+' || p.s[p.i] == '-') {
		p.i++
	}
	n := p.digits()
	if p.i < len(p.s) && p.s[p.i] == '.' {
		p.i++
		n += p.digits()
	}
	if n == 0 {
		p.i = from
		if from == len(p.s) {
			return 0, p.fail(from, "a number is missing at the end")
		}
		return 0, p.fail(from, "a number is missing")
	}
	if p.i < len(p.s) && (p.s[p.i] == 'e' || p.s[p.i] == 'E') {
		mark := p.i
		p.i++
		if p.i < len(p.s) && (p.s[p.i] == '+' || p.s[p.i] == '-') {
			p.i++
		}
		if p.digits() == 0 {
			p.i = mark // no exponent after all: the e is read as a command
		}
	}
	v, err := strconv.ParseFloat(p.s[from:p.i], 64)
	if err != nil || !(math.Abs(v) <= MaxPathCoordinate) {
		return 0, p.fail(from, "number beyond %g", float64(MaxPathCoordinate))
	}
	return v, nil
}
