package view

import (
	"math"
	"slices"
	"unicode/utf8"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/raster"
)

const (
	labelSize = 11.0 // px
	// labelAdvance is the width of a letter of a common sans serif in sizes of
	// the type: 0.6 holds all but all-capital words.
	labelAdvance = 0.6
	labelStep    = 1.25 // from line to line, in sizes of the type
	toFoot       = 0.35 // from the middle of the letters to their foot, in sizes of the type
	maxSteps     = 8
)

// drawLabels writes each mechanism's name where most of it is seen. A
// mechanism that is hidden has none. It gives the boxes of the names.
func (pic *picture) drawLabels(c surface, m *placing) (taken []geom.Box2) {
	var texts []label
	for i := range pic.a.Design.Mechanisms {
		at, seen := pic.labelPoint(i)
		if !seen {
			continue
		}
		name := pic.a.Design.Mechanisms[i].ID
		half := float64(utf8.RuneCountInString(name)) * labelAdvance * labelSize / 2
		p := m.apply(at)
		box := geom.Box2{
			Min: geom.Vec2{X: p.X - half, Y: p.Y - labelSize/2},
			Max: geom.Vec2{X: p.X + half, Y: p.Y + labelSize/2},
		}
		down := geom.Vec2{Y: freeStep(box, taken) * labelStep * labelSize}
		box.Min, box.Max = box.Min.Add(down), box.Max.Add(down)
		taken = append(taken, box)
		texts = append(texts, label{geom.Vec2{X: p.X, Y: p.Y + down.Y + toFoot*labelSize}, name})
	}
	c.write(&lettering{size: labelSize, ink: labelInk, anchor: raster.Middle, halo: true}, texts)
	return taken
}

// freeStep is how many lines down, or up where negative, a label has room.
func freeStep(box geom.Box2, taken []geom.Box2) float64 {
	for k := range maxSteps {
		step := float64((k + 1) / 2)
		if k%2 == 0 {
			step = -step
		}
		dy := step * labelStep * labelSize
		free := true
		for _, t := range taken {
			if box.Min.X < t.Max.X && t.Min.X < box.Max.X && box.Min.Y+dy < t.Max.Y && t.Min.Y < box.Max.Y+dy {
				free = false
				break
			}
		}
		if free {
			return step
		}
	}
	return 0
}

// labelPoint is a point where the mechanism is seen, the middle of the largest
// part of it in the picture that has one.
func (pic *picture) labelPoint(mechanism int) (geom.Vec2, bool) {
	best, largest, found := geom.Vec2{}, 0.0, false
	for _, g := range pic.order {
		if pic.mechanism(g.face) != mechanism {
			continue
		}
		shape := pic.shape(g)
		size := 0.0
		for _, ring := range shape {
			size = max(size, math.Abs(geom.PolygonArea(ring)))
		}
		if size <= largest {
			continue
		}
		middle := centroid(shape)
		for _, q := range spreadOut(middle, shape) {
			if pic.seenAt(q) == mechanism {
				best, largest, found = q, size, true
				break
			}
		}
	}
	return best, found
}

// spreadOut is a point and the points halfway from it to the corners.
func spreadOut(middle geom.Vec2, shape [][]geom.Vec2) []geom.Vec2 {
	points := []geom.Vec2{middle}
	for _, ring := range shape {
		for _, q := range ring {
			points = append(points, middle.Lerp(q, 0.5))
		}
	}
	return points
}

// noPaper is what seenAt gives where there is no paper.
const noPaper = kinematics.Spread - 1

// seenAt is the mechanism that is seen at a point of the picture plane.
func (pic *picture) seenAt(q geom.Vec2) int {
	if pic.watch.halted() {
		return noPaper
	}
	for _, g := range slices.Backward(pic.order) {
		if geom.RingsContain(pic.shape(g), q) {
			return pic.mechanism(g.face)
		}
	}
	return noPaper
}

// centroid is the centre of mass of the largest ring.
func centroid(shape [][]geom.Vec2) geom.Vec2 {
	var ring []geom.Vec2
	most := -1.0
	for _, r := range shape {
		if area := math.Abs(geom.PolygonArea(r)); area > most {
			ring, most = r, area
		}
	}
	o := ring[0]
	sum, twice := geom.Vec2{}, 0.0
	for i := 1; i+1 < len(ring); i++ {
		a, b := ring[i].Sub(o), ring[i+1].Sub(o)
		w := a.Cross(b)
		sum, twice = sum.Add(a.Add(b).Mul(w)), twice+w
	}
	if twice == 0 {
		return o
	}
	return o.Add(sum.Mul(1 / (3 * twice)))
}
