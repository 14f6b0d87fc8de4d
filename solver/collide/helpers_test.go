package collide

import (
	"math"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
)

func rectangle(x, y, w, h float64) []geom.Vec2 {
	return []geom.Vec2{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

func placed(frame geom.Frame, rings ...[]geom.Vec2) *Face {
	f := NewFace(rings)
	f.MoveTo(frame)
	return f
}

func flat(rings ...[]geom.Vec2) *Face {
	return placed(geom.Frame{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}}, rings...)
}

// upright turns the plane of a face up, its u along x and its v along z.
func upright(at geom.Vec3, rings ...[]geom.Vec2) *Face {
	return placed(geom.Frame{Origin: at, X: geom.Vec3{X: 1}, Y: geom.Vec3{Z: 1}}, rings...)
}

// turned is a frame whose u is x and whose v is at an angle to the plane z = 0.
func turned(degrees float64) geom.Frame {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return geom.Frame{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: cos, Z: sin}}
}

// placing is a rigid motion of space.
type placing struct{ origin, x, y, z geom.Vec3 }

func (m *placing) dir(d geom.Vec3) geom.Vec3 { return geom.Combine3(d.X, m.x, d.Y, m.y, d.Z, m.z) }

func (m *placing) frame(f geom.Frame) geom.Frame {
	return geom.Frame{Origin: m.origin.Add(m.dir(f.Origin)), X: m.dir(f.X), Y: m.dir(f.Y)}
}

// drawVec3 draws a point that is no neat number, within the given distance.
func drawVec3(t *rapid.T, label string, most float64) geom.Vec3 {
	at := func(axis string) float64 { return rapid.Float64Range(-most, most).Draw(t, label+axis) }
	return geom.Vec3{X: at(" x"), Y: at(" y"), Z: at(" z")}
}

func drawMotion(t *rapid.T) placing {
	x := drawVec3(t, "turn", 1).Add(geom.Vec3{X: 2}).Unit()
	z := x.Cross(drawVec3(t, "roll", 1).Add(geom.Vec3{Z: 3})).Unit()
	return placing{drawVec3(t, "move", 300), x, z.Cross(x), z}
}

func drawFrame(t *rapid.T, most float64) geom.Frame {
	m := drawMotion(t)
	return geom.Frame{Origin: drawVec3(t, "origin", most), X: m.x, Y: m.y}
}

// drawRings draws a star-shaped outline, which may turn in, with a hole at times.
func drawRings(t *rapid.T) [][]geom.Vec2 {
	n := rapid.IntRange(3, 9).Draw(t, "corners")
	ring := make([]geom.Vec2, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := rapid.Float64Range(12, 40).Draw(t, "radius")
		ring[i] = geom.Vec2{X: r * cos, Y: r * sin}
	}
	if n < 5 || rapid.Bool().Draw(t, "whole") {
		return [][]geom.Vec2{ring}
	}
	return [][]geom.Vec2{ring, {{X: -3, Y: -3}, {X: -3, Y: 3}, {X: 3, Y: 3}, {X: 3, Y: -3}}}
}

// drawConvex draws a convex polygon: corners on a circle, drawn out.
func drawConvex(t *rapid.T) []geom.Vec2 {
	n := rapid.IntRange(3, 7).Draw(t, "corners")
	width := rapid.Float64Range(5, 30).Draw(t, "width")
	ring := make([]geom.Vec2, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "at")) / float64(n))
		ring[i] = geom.Vec2{X: 20 * cos, Y: width * sin}
	}
	return ring
}
