package view

import (
	"math"
	"strconv"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Dimension is a measurement that can be drawn into a picture.
type Dimension string

const (
	// HeightDimension is from the gutter to the highest point along the
	// bisector of the pages.
	HeightDimension Dimension = "height"
	// OpeningDimension is the angle between the pages.
	OpeningDimension Dimension = "opening"
	// OverhangDimension is how far paper reaches beyond the pages: past the
	// head or the foot, or further from the gutter than the fore edge, which
	// shows when the book is shut. It is drawn at the place where it is most,
	// if anywhere.
	OverhangDimension Dimension = "overhang"
)

// Dimensions lists what can be drawn.
func Dimensions() []Dimension {
	return []Dimension{HeightDimension, OpeningDimension, OverhangDimension}
}

// lengthText writes a length in the units of the design.
func lengthText(a *kinematics.Assembly, mm float64) string {
	if a.Design.Units == design.Inches {
		v := math.Round(mm/design.Inches.PerUnit()*100)/100 + 0
		return strconv.FormatFloat(v, 'f', -1, 64) + " in"
	}
	return tenths(mm) + " mm"
}

// Places of dimensions, as fractions of the longer side of a page.
const (
	dimensionOffset = 0.07 // from what is measured to the dimension line
	arcRadius       = 0.55 // of the page width: radius of the arc of the opening
)

// Measurements seen so nearly end-on cannot be read, and are left out.
const (
	leastSeen   = 0.2 // of the true length
	leastPlane  = 0.15
	leastLength = 1e-3 // of the longer side of a page
)

// dimensions works out the dimensions asked for.
func (pic *picture) dimensions(o *Options) []dimension {
	var out []dimension
	for _, d := range o.Dimensions {
		var found dimension
		ok := false
		switch d {
		case HeightDimension:
			found, ok = pic.heightDimension()
		case OpeningDimension:
			found, ok = pic.openingDimension()
		case OverhangDimension:
			found, ok = pic.overhangDimension()
		}
		if ok {
			found.kind = d
			out = append(out, found)
		}
	}
	return out
}

// reach is the box around all the paper.
func (pic *picture) reach() (low, high geom.Vec3) {
	low = geom.Vec3{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high = low.Neg()
	pic.vertices(func(v geom.Vec3, _ bool) {
		low = geom.Vec3{X: min(low.X, v.X), Y: min(low.Y, v.Y), Z: min(low.Z, v.Z)}
		high = geom.Vec3{X: max(high.X, v.X), Y: max(high.Y, v.Y), Z: max(high.Z, v.Z)}
	})
	return low, high
}

// vertices calls f for every corner of every panel that is posed.
func (pic *picture) vertices(f func(v geom.Vec3, page bool)) {
	for i := range pic.a.Panels {
		if !pic.p.Has(i) {
			continue
		}
		for _, q := range pic.a.Panels[i].Outline {
			f(pic.p.Panels[i].At(q), pic.a.Panels[i].Mechanism == kinematics.Spread)
		}
	}
}

// seen is how a direction lies in the picture, as if seen in parallel.
func (pic *picture) seen(d geom.Vec3) geom.Vec2 {
	return geom.Vec2{X: d.Dot(pic.eye.right), Y: d.Dot(pic.eye.up)}
}

// heightDimension stands beside the spread, on the side of the highest point,
// or before its foot where the sides are seen end-on.
func (pic *picture) heightDimension() (dimension, bool) {
	var top geom.Vec3
	pic.vertices(func(v geom.Vec3, page bool) {
		if !page && v.Z > top.Z {
			top = v
		}
	})
	up := geom.Vec3{Z: 1}
	if top.Z <= leastLength*pic.size || pic.seen(up).Norm() < leastSeen {
		return dimension{}, false
	}
	low, high := pic.reach()
	offset := dimensionOffset * pic.size
	gutter := geom.Vec3{Y: top.Y}
	line := geom.Vec3{X: high.X + offset, Y: top.Y}
	if top.X < 0 {
		line.X = low.X - offset
	}
	if across := pic.seen(geom.Vec3{X: 1}).Cross(pic.seen(up)); math.Abs(across) < leastSeen {
		gutter = geom.Vec3{X: top.X}
		line = geom.Vec3{X: top.X, Y: low.Y - offset}
	}
	return pic.straight(gutter, line, top, line.Add(up.Mul(top.Z)), lengthText(pic.a, pic.p.Height())), true
}

// overhangDimension measures the furthest reach beyond the pages.
func (pic *picture) overhangDimension() (dimension, bool) {
	spread := &pic.a.Design.Spread
	most := leastLength * pic.size
	var from, to geom.Vec3
	pic.vertices(func(v geom.Vec3, page bool) {
		if page {
			return
		}
		try := func(beyond float64, edge geom.Vec3) {
			if beyond > most {
				most, from, to = beyond, edge, v
			}
		}
		try(v.Y-spread.PageHeight, geom.Vec3{X: v.X, Y: spread.PageHeight, Z: v.Z})
		try(-v.Y, geom.Vec3{X: v.X, Z: v.Z})
		r := math.Hypot(v.X, v.Z)
		if r > 0 {
			k := spread.PageWidth / r
			try(r-spread.PageWidth, geom.Vec3{X: v.X * k, Y: v.Y, Z: v.Z * k})
		}
	})
	along := to.Sub(from)
	if along == (geom.Vec3{}) || pic.seen(along).Norm() < leastSeen*along.Norm() {
		return dimension{}, false
	}
	// Beside the measured length, in the direction that is seen most square to
	// it.
	var aside geom.Vec3
	best := 0.0
	for _, d := range [3]geom.Vec3{{X: 1}, {Y: 1}, {Z: 1}} {
		if d.Dot(along) != 0 {
			continue
		}
		if across := math.Abs(pic.seen(d).Cross(pic.seen(along))); across > best {
			aside, best = d.Mul(dimensionOffset*pic.size), across
		}
	}
	return pic.straight(from, from.Add(aside), to, to.Add(aside), lengthText(pic.a, most)), true
}

// openingDimension is an arc before the foot of the pages, or behind the head
// when seen from there.
func (pic *picture) openingDimension() (dimension, bool) {
	t := float64(pic.p.Drive.Opening)
	if math.Abs(pic.eye.z.Y) < leastPlane {
		return dimension{}, false
	}
	y := 0.0
	if pic.eye.z.Y > 0 {
		y = pic.a.Design.Spread.PageHeight
	}
	r := arcRadius * pic.a.Design.Spread.PageWidth
	eye := pic.eye
	d := dimension{
		text:   degrees(pic.p.Drive.Opening),
		length: r * t,
		at: func(s float64) geom.Vec2 {
			sin, cos := math.Sincos((s - 0.5) * t)
			return eye.project(geom.Vec3{X: r * sin, Y: y, Z: r * cos})
		},
		curved: true,
	}
	return d.oriented(pic, geom.Vec3{Z: 1}), true
}

// straight is the dimension between two points, drawn away from them.
func (pic *picture) straight(a, lineA, b, lineB geom.Vec3, text string) dimension {
	e := pic.eye
	d := dimension{
		text:       text,
		extensions: [][2]geom.Vec2{{e.project(a), e.project(lineA)}, {e.project(b), e.project(lineB)}},
		length:     lineB.Sub(lineA).Norm(),
		at:         func(s float64) geom.Vec2 { return e.project(lineA.Add(lineB.Sub(lineA).Mul(s))) },
	}
	return d.oriented(pic, lineA.Sub(a))
}
