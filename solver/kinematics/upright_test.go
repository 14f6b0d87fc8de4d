package kinematics

import (
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"foldwright/solver/design"
)

// Drawing and closing the loops of mechanisms that are not two panels on base
// lines: floating layers, boxes and sliding tents.

// upright kinds stand off their host, so they need one that shuts with the book.
func upright(k design.Kind) bool { return k == "box" || k == "floating_layer" }

func drawFloatingLayer(t *rapid.T, _ shutAngle) (entry, shutAngle, shutAngle, bool) {
	from := decimal(t, "from", -20, 100)
	e := entry{
		"kind": "floating_layer", "from": from, "to": from + decimal(t, "long", 5, 80), "height": decimal(t, "height", 3, 40),
	}
	for _, side := range []string{"left", "right"} {
		extent := decimal(t, side+" extent", 10, 60)
		e[side+"_extent"], e[side+"_support"] = extent, decimal(t, side+" support", 5, extent)
	}
	return e, shut, shut, true
}

func drawBox(t *rapid.T, _ shutAngle) (entry, shutAngle, shutAngle, bool) {
	from, left := decimal(t, "from", -20, 100), decimal(t, "left offset", 10, 40)
	e := entry{
		"kind": "box", "from": from, "to": from + decimal(t, "long", 5, 80), "height": decimal(t, "height", 3, 40),
		"left_offset": left, "right_offset": left + unevenness(t, 8),
		"lid": rapid.Bool().Draw(t, "lid"), "ends": rapid.SampledFrom([]string{"in", "out"}).Draw(t, "ends"), "lid_fold": "out",
	}
	if e["ends"] == "out" {
		e["lid_fold"] = rapid.SampledFrom([]string{"in", "out"}).Draw(t, "lid fold")
	}
	return e, shut, shut, true
}

// drawSlideTent draws a tent that opens fully: the strip draws less than twice
// the narrower panel and, unguided, ends beyond the gutter.
func drawSlideTent(t *rapid.T) entry {
	from := decimal(t, "from", -20, 100)
	to := from + decimal(t, "long", 14, 80)
	near, far := decimal(t, "near", 20, 60), decimal(t, "far", 20, 60)
	if rapid.Bool().Draw(t, "equal") {
		far = near
	}
	return entry{
		"kind": "slide_tent", "from": from, "to": to,
		"on":           entry{"panel": rapid.SampledFrom([]string{design.PageLeft, design.PageRight}).Draw(t, "page")},
		"fixed_offset": decimal(t, "fixed", 2, 60), "near_width": near, "far_width": far,
		"travel": decimal(t, "travel", 1, min(39, 1.9*min(near, far))),
		"strip":  entry{"width": decimal(t, "width", 1, 12), "at": (from + to) / 2},
		"guided": rapid.Bool().Draw(t, "guided"),
	}
}

// uprightPlaces are the folds of a drawn mechanism, each first from its working
// side; nil for the two-panel kinds.
func uprightPlaces(e entry) [][]standing {
	id := e["id"].(string)
	// two lists both sides of a fold with their dihedrals when shut.
	two := func(name, side string, when shutAngle, other shutAngle, sheet bool) []standing {
		opposite := map[string]string{"inner": "outer", "outer": "inner"}[side]
		return []standing{{id + "." + name, side, when, sheet}, {id + "." + name, opposite, other, false}}
	}
	base := func(name string) []standing { return two(name, "outer", shut, flat, false) }
	switch e["kind"] {
	case "floating_layer":
		return [][]standing{
			base("left_base"), base("right_base"), base("center_left_base")[:1], base("center_right_base")[:1],
			two("left_top", "inner", shut, flat, false), two("right_top", "inner", shut, flat, false),
			{{id + ".center_left_top", "inner", flat, false}}, {{id + ".center_right_top", "inner", flat, false}},
			{{id + ".layer_fold", "inner", shut, true}},
		}
	case "slide_tent":
		return [][]standing{two("near_base", "outer", flat, shut, false), {{id + ".ridge", "inner", flat, false}}}
	case "box":
		corner, creaseSide, lidSide := flat, "inner", "inner"
		if e["ends"] == "in" {
			corner, creaseSide = shut, "outer"
		}
		places := [][]standing{base("left_base"), base("right_base")}
		for _, end := range []string{"front", "back"} {
			places = append(places, two(end+"_crease", creaseSide, shut, around, true))
			for _, side := range []string{"_left", "_right"} {
				// Beyond a half turn nothing flush with a flat corner can follow.
				places = append(places, two(end+side+"_corner", "inner", corner, around, false)[:2-int(corner)])
			}
		}
		if e["lid"] == true {
			edge := flat
			if e["lid_fold"] == "in" {
				edge, lidSide = shut, "outer"
			}
			for _, side := range []string{"left", "right"} {
				places = append(places, two("lid_"+side+"_edge", "inner", edge, around, false)[:2-int(edge)])
			}
			places = append(places, two("lid_crease", lidSide, shut, around, true))
		}
		return places
	}
	return nil
}

// close notes how the folds of a drawn mechanism shut, and lists them to stand
// on.
func (d *document) close(e entry) []standing {
	var places []standing
	for _, fold := range uprightPlaces(e) {
		d.closed[fold[0].fold] = fold[0].when
		places = append(places, fold...)
	}
	return places
}

// workingSide is the side a fold of the design is worked on.
func (l *loop) workingSide(fold string) design.Side {
	id, name, _ := strings.Cut(fold, ".")
	for i := range l.d.Mechanisms {
		if m := &l.d.Mechanisms[i]; m.ID == id {
			return m.WorkingSide(name)
		}
	}
	return design.Inner
}

// addUpright records a fold of mechanism m from both sides: where its first
// face runs on beyond it, between that and the second face; elsewhere over the
// top.
func (l *loop) addUpright(m *design.Mechanism, name string, origin, along, one, other r3.Vec, runsOn bool) {
	sides := map[design.Side]design.Side{design.Inner: design.Outer, design.Outer: design.Inner}
	side := m.WorkingSide(name)
	here, there := m.ID+"."+name+" "+string(side), m.ID+"."+name+" "+string(sides[side])
	l.addFold(here, origin, along, one, other)
	if runsOn {
		l.addFold(there, origin, along, r3.Scale(-1, one), other)
		return
	}
	f := l.folds[here]
	f.left, f.right = f.right, f.left
	l.folds[there] = f
}

// raiseUpright raises the mechanism if it is none of two panels; ok is false
// where it cannot be followed.
func (l *loop) raiseUpright(i int, m *design.Mechanism) (upright, ok bool) {
	switch spec := m.Spec.(type) {
	case *design.SlideTent:
		l.raiseTent(m, spec)
		return true, true
	case *design.FloatingLayer:
		host, known := l.hostFold(m.On)
		return true, known && l.raiseLayer(m, spec, host)
	case *design.Box:
		host, known := l.hostFold(m.On)
		return true, known && l.raiseBox(i, m, spec, host)
	}
	return false, false
}

// dihedral is the angle between the faces of a fold, up to a whole turn.
func (f loopFold) dihedral() float64 {
	angle := math.Atan2(r3.Dot(r3.Cross(f.left, f.right), f.along), r3.Dot(f.left, f.right))
	if angle < 0 {
		angle += 2 * math.Pi
	}
	return angle
}

// illClosed is the sine below which two motions are too much alike.
const illClosed = 1e-3

// raiseTent finds the sliding edge by halving the interval in which the length
// of the strip is right, and the ridge by the law of cosines.
func (l *loop) raiseTent(m *design.Mechanism, s *design.SlideTent) {
	page, other := l.panels[m.On.Panel], l.panels[design.PageLeft]
	if m.On.Panel == design.PageLeft {
		other = l.panels[design.PageRight]
	}
	anchor := add(r3.Vec{}, s.Anchor(), other.v)
	length := func(x float64, anchor r3.Vec) float64 {
		end := add(r3.Vec{}, x, page.v)
		if !s.Guided {
			return r3.Norm(r3.Sub(end, anchor))
		}
		gap := add(r3.Vec{}, s.FixedOffset, page.v)
		return x - s.FixedOffset + r3.Norm(r3.Sub(gap, anchor))
	}
	far := s.FixedOffset + s.NearWidth + s.FarWidth
	whole := length(far, add(r3.Vec{}, s.Anchor(), page.v))
	lo, hi := s.Anchor()*r3.Dot(page.v, other.v), far
	for range 200 {
		if mid := (lo + hi) / 2; length(mid, anchor) < whole {
			lo = mid
		} else {
			hi = mid
		}
	}
	x := (lo + hi) / 2
	base := x - s.FixedOffset
	n, f := s.NearWidth, s.FarWidth
	alpha := math.Acos(min(1, (base*base+n*n-f*f)/(2*base*n)))
	up := r3.Cross(page.u, page.v)
	if r3.Dot(up, other.v) < 0 {
		up = r3.Scale(-1, up)
	}
	at := func(v float64) r3.Vec { return add(add(r3.Vec{}, s.From, page.u), v, page.v) }
	near := r3.Add(r3.Scale(math.Cos(alpha), page.v), r3.Scale(math.Sin(alpha), up))
	ridge := add(at(s.FixedOffset), n, near)
	toRidge := r3.Scale(1/f, r3.Sub(ridge, at(x)))
	l.panels[m.ID+".near"] = loopPanel{at(s.FixedOffset), page.u, near}
	l.panels[m.ID+".far"] = loopPanel{at(x), page.u, toRidge}
	l.addUpright(m, "near_base", at(s.FixedOffset), page.u, r3.Scale(-1, page.v), near, true)
	l.addUpright(m, "ridge", ridge, page.u, r3.Scale(-1, near), r3.Scale(-1, toRidge), false)
}

// raiseLayer turns up each side support until it meets its half of the layer,
// which turns about the head of a centre along the bisector.
func (l *loop) raiseLayer(m *design.Mechanism, s *design.FloatingLayer, host loopFold) bool {
	psi := host.dihedral()
	n := r3.NewRotation(-psi/2, host.along).Rotate(host.right)
	start := add(host.origin, s.From, host.along)
	top := add(start, s.Height, n)
	l.panels[m.ID+".center"] = loopPanel{start, host.along, n}
	var layer [2]r3.Vec
	supports, offsets := [2]string{"left", "right"}, [2]float64{}
	offsets[0], offsets[1] = s.Supports()
	for side, out := range [2]r3.Vec{host.left, host.right} {
		up := r3.Cross(host.along, host.left)
		if side == 1 {
			up = r3.Cross(host.right, host.along)
		}
		pair := [2]loopSide{
			{origin: add(start, offsets[side], out), base: host.along, outside: out, up: up, ridgeV: s.Height},
			{origin: top, base: host.along, outside: out, up: up, ridgeV: offsets[side]},
		}
		turn, conditioning, gap := closeLoop(pair, [2]float64{psi / 2 * 1.01, 0.001 * psi})
		if conditioning < illClosed || !(gap < 1e-9) || math.Abs(turn[1]) > psi/4 {
			return false
		}
		name := supports[side]
		support := pair[0].v(turn[0])
		layer[side] = pair[1].v(turn[1])
		l.panels[m.ID+".support_"+name] = loopPanel{pair[0].origin, host.along, support}
		l.panels[m.ID+".layer_"+name] = loopPanel{top, host.along, layer[side]}
		l.addUpright(m, name+"_base", pair[0].origin, host.along, out, support, true)
		l.addUpright(m, name+"_top", pair[0].ridge(turn[0]), host.along, r3.Scale(-1, layer[side]), r3.Scale(-1, support), true)
	}
	for side, name := range supports {
		l.addUpright(m, "center_"+name+"_base", start, host.along, [2]r3.Vec{host.left, host.right}[side], n, true)
		l.addUpright(m, "center_"+name+"_top", top, host.along, layer[side], r3.Scale(-1, n), true)
	}
	l.addUpright(m, "layer_fold", top, host.along, layer[0], layer[1], false)
	return true
}

// boxLoop is a box with the walls and the front half end walls turned by angles
// of their own: the walls up from the host, the halves from along the fold.
type boxLoop struct {
	base    [2]r3.Vec // where the walls start
	host    loopFold
	ups     [2]r3.Vec
	g, tall float64
	climb   [2]float64
}

func (b *boxLoop) wall(side int, turn float64) r3.Vec {
	out := [2]r3.Vec{b.host.left, b.host.right}[side]
	return r3.Add(r3.Scale(math.Cos(turn), out), r3.Scale(math.Sin(turn), b.ups[side]))
}

func (b *boxLoop) half(side int, wall r3.Vec, turn float64) r3.Vec {
	inward := r3.Cross(b.host.along, wall)
	if side == 1 {
		inward = r3.Scale(-1, inward)
	}
	return r3.Add(r3.Scale(math.Cos(turn), b.host.along), r3.Scale(math.Sin(turn), inward))
}

// gap is how far apart the two halves of the end wall put both ends of the
// crease.
func (b *boxLoop) gap(turns []float64) []float64 {
	var ends [2][2]r3.Vec
	for side := range 2 {
		w := b.wall(side, turns[side])
		foot := add(add(b.base[side], b.climb[side], w), b.g, b.half(side, w, turns[2+side]))
		ends[side] = [2]r3.Vec{foot, add(foot, b.tall, w)}
	}
	low, high := r3.Sub(ends[1][0], ends[0][0]), r3.Sub(ends[1][1], ends[0][1])
	return []float64{low.X, low.Y, low.Z, high.X, high.Y, high.Z}
}

// closed is the turns near a guess at which the end wall closes, by Gauss and
// Newton's method with differences for slopes.
func (b *boxLoop) closed(guess []float64) (turns []float64, gap float64) {
	turns = append([]float64{}, guess...)
	const h = 1e-5
	for range 30 {
		r := b.gap(turns)
		slopes := mat.NewDense(6, 4, nil)
		for k := range turns {
			more, less := append([]float64{}, turns...), append([]float64{}, turns...)
			more[k] += h
			less[k] -= h
			up, down := b.gap(more), b.gap(less)
			for row := range up {
				slopes.Set(row, k, (up[row]-down[row])/(2*h))
			}
		}
		var step mat.VecDense
		if step.SolveVec(slopes, mat.NewVecDense(6, r)) != nil {
			return turns, math.Inf(1)
		}
		moved := 0.0
		for k := range turns {
			turns[k] -= step.AtVec(k)
			moved += math.Abs(step.AtVec(k))
		}
		if moved < 1e-14 {
			break
		}
	}
	for _, v := range b.gap(turns) {
		gap = max(gap, math.Abs(v))
	}
	return turns, gap
}

func (l *loop) raiseBox(i int, m *design.Mechanism, s *design.Box, host loopFold) bool {
	left, right := s.Offsets()
	start, psi := add(host.origin, s.From, host.along), host.dihedral()
	b := &boxLoop{
		base: [2]r3.Vec{add(start, left, host.left), add(start, right, host.right)}, host: host,
		ups: [2]r3.Vec{r3.Cross(host.along, host.left), r3.Cross(host.right, host.along)},
		g:   math.Sqrt(left * right), tall: s.Height, climb: [2]float64{(right - left) / 2, (left - right) / 2},
	}
	guess := l.boxes[i]
	if guess == nil {
		half := func(turned bool) float64 {
			if turned {
				return math.Pi - psi/2
			}
			return psi / 2
		}
		end, lid := half(s.Ends == design.FoldOut), half(s.LidFold == design.FoldIn)
		guess = []float64{psi / 2, psi / 2, end, end, lid, lid}
	}
	turns, gap := b.closed(guess[:4])
	// Halves in one line could fold either way.
	if !(gap < 1e-9) || turns[0] < 0 || turns[1] < 0 || math.Abs(math.Cos(turns[2])) < 0.01 {
		return false
	}
	l.boxes[i] = append(turns, guess[4:]...)
	long := s.To - s.From
	var wall, front, back, far [2]r3.Vec
	for side, name := range []string{"left", "right"} {
		wall[side] = b.wall(side, turns[side])
		front[side] = b.half(side, wall[side], turns[2+side])
		back[side] = add(front[side], -2*r3.Dot(front[side], host.along), host.along)
		far[side] = add(b.base[side], long, host.along)
		l.panels[m.ID+".wall_"+name] = loopPanel{b.base[side], host.along, wall[side]}
		l.panels[m.ID+".front_"+name] = loopPanel{b.base[side], wall[side], front[side]}
		l.panels[m.ID+".back_"+name] = loopPanel{far[side], wall[side], back[side]}
		l.addUpright(m, name+"_base", b.base[side], host.along, [2]r3.Vec{host.left, host.right}[side], wall[side], true)
		l.addUpright(m, "front_"+name+"_corner", b.base[side], wall[side], host.along, front[side], false)
		l.addUpright(m, "back_"+name+"_corner", far[side], wall[side], r3.Scale(-1, host.along), back[side], false)
	}
	away := func(v [2]r3.Vec) (r3.Vec, r3.Vec) { return r3.Scale(-1, v[0]), r3.Scale(-1, v[1]) }
	one, other := away(front)
	foot := add(add(b.base[0], b.climb[0], wall[0]), b.g, front[0])
	l.addUpright(m, "front_crease", foot, wall[0], one, other, false)
	one, other = away(back)
	foot = add(add(far[0], b.climb[0], wall[0]), b.g, back[0])
	l.addUpright(m, "back_crease", foot, wall[0], one, other, false)
	return !s.Lid || l.closeLid(m, s, b, wall, l.boxes[i][4:])
}

// closeLid turns the halves of the lid about the heads of the walls until they
// meet.
func (l *loop) closeLid(m *design.Mechanism, s *design.Box, b *boxLoop, wall [2]r3.Vec, last []float64) bool {
	left, right := s.Offsets()
	wide := [2]float64{right, left}
	if s.LidFold == design.FoldIn {
		wide = [2]float64{left, right}
	}
	inward := r3.Cross(b.host.along, wall[0])
	var pair [2]loopSide
	for side := range 2 {
		pair[side] = loopSide{
			origin: add(b.base[side], s.Height, wall[side]), base: b.host.along,
			outside: wall[side], up: r3.Scale(1-2*float64(side), inward), ridgeV: wide[side],
		}
	}
	turn, conditioning, gap := closeLoop(pair, [2]float64{last[0], last[1]})
	copy(last, turn[:])
	if conditioning < illClosed || !(gap < 1e-9) || turn[0] < 0 || turn[0] > math.Pi {
		return false
	}
	var half [2]r3.Vec
	for side, name := range []string{"left", "right"} {
		half[side] = pair[side].v(turn[side])
		l.panels[m.ID+".lid_"+name] = loopPanel{pair[side].origin, b.host.along, half[side]}
		l.addUpright(m, "lid_"+name+"_edge", pair[side].origin, b.host.along, r3.Scale(-1, wall[side]), half[side], false)
	}
	l.addUpright(m, "lid_crease", pair[0].ridge(turn[0]), b.host.along, r3.Scale(-1, half[0]), r3.Scale(-1, half[1]), false)
	return true
}
