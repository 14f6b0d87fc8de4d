package view

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// hit is where a ray from the eye meets a face.
type hit struct {
	face  *face
	depth float64 // from the eye or, in parallel, towards it from the target; greater is nearer
}

// nearest finds what the eye sees at a point of the picture plane by meeting
// every face with the ray through it. It shares nothing with the painter's
// order but the camera's axes. clear is false where a face is too nearly
// edge-on, or the point too close to an edge, for the answer to be certain.
func nearest(s *scene, q geom.Vec2) (hits []hit, clear bool) {
	e := &s.eye
	through := e.target.Add(geom.Combine(q.X, e.right, q.Y, e.up))
	from, along := through, e.z.Neg()
	if e.distance > 0 {
		from = e.target.Add(e.z.Mul(e.distance))
		along = through.Sub(from).Unit()
	}
	for i := range s.faces {
		f := &s.faces[i]
		slope := along.Dot(f.normal)
		if math.Abs(slope) < 0.02 {
			return nil, false
		}
		t := f.frame.Origin.Sub(from).Dot(f.normal) / slope
		local := f.frame.Local(from.Add(along.Mul(t)))
		at := geom.Vec2{X: local.X, Y: local.Y}
		in := false
		for _, flat := range f.whole.outline() {
			if geom.PolygonDistance(flat, at) < 0.05 {
				return nil, false
			}
			in = in != geom.PolygonContains(flat, at)
		}
		if in {
			hits = append(hits, hit{f, -t})
		}
	}
	return hits, true
}

// painted is the last fragment painted over a point, nil when there is none.
func painted(s *scene, order []*fragment, q geom.Vec2) *fragment {
	for _, g := range slices.Backward(order) {
		if geom.RingsContain(s.shape(g), q) {
			return g
		}
	}
	return nil
}

// sameDepth is the difference of depths below which two faces count as one
// plane, mm: planeTolerance of 180 mm is 0.0018 mm, seen at a slope of 0.02.
const sameDepth = 0.1

// What is painted last over a pixel must be what a ray from the eye meets
// first, for any design from any side.
func TestPaintersOrderIsDepthOrder(t *testing.T) {
	pixels, stacked, split := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := drawDesign(t)
		p := posed(a, drawOpening(t))
		s := newScene(a, p, aim(drawCamera(t), a, []*kinematics.Pose{p}), DefaultWidth)
		order := s.paintOrder()
		if len(order) > len(s.faces) {
			split++
		}
		box := geom.EmptyBox()
		for _, g := range order {
			for _, ring := range s.shape(g) {
				for _, q := range ring {
					box = box.Extend(q)
				}
			}
		}
		random := rand.New(rand.NewPCG(1, rapid.Uint64().Draw(t, "pixels")))
		for range 150 {
			size := box.Size()
			q := box.Min.Add(geom.Vec2{X: random.Float64() * size.X, Y: random.Float64() * size.Y})
			hits, clear := nearest(s, q)
			if !clear {
				continue
			}
			pixels++
			top := painted(s, order, q)
			if len(hits) == 0 {
				if top != nil {
					t.Fatalf("%s is painted at %v, where there is nothing", s.a.Panels[top.face.panel].ID, q)
				}
				continue
			}
			first := hits[0]
			for _, h := range hits {
				if h.depth > first.depth {
					first = h
				}
			}
			if len(hits) > 1 {
				stacked++
			}
			if top == nil {
				t.Fatalf("nothing is painted at %v; want %s", q, s.a.Panels[first.face.panel].ID)
			}
			for _, h := range hits {
				if h.face == top.face && first.depth-h.depth > sameDepth {
					t.Fatalf("%s is painted at %v over %s, which is %.3g mm nearer", s.a.Panels[top.face.panel].ID, q,
						s.a.Panels[first.face.panel].ID, first.depth-h.depth)
				}
			}
		}
	})
	t.Logf("%d pixels, %d with several faces, %d scenes split", pixels, stacked, split)
	if stacked < 500 || split < 5 {
		t.Errorf("too little was seen: %d pixels with several faces, %d scenes split", stacked, split)
	}
}

// Figures on both panels of a V that reach across its ridge cross; each hides
// part of the other.
func TestCrossingFiguresAreSplit(t *testing.T) {
	a := compile(t, spread(`
	  {"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":60,"left":{"base_angle":45,"panel_angle":70,"base_length":60},"ridge_length":70},
	  {"id":"port","kind":"figure","on":{"panel":"sail.left"},"outline":"M-20 0 H60 V6 H-20 Z","place":{"u":10,"v":25}},
	  {"id":"starboard","kind":"figure","on":{"panel":"sail.right"},"outline":"M-20 0 H60 V6 H-20 Z","place":{"u":10,"v":25}}`))
	p := posed(a, 120)
	c, err := Camera{Viewpoint: Reader}.resolved()
	if err != nil {
		t.Fatal(err)
	}
	s := newScene(a, p, aim(c, a, []*kinematics.Pose{p}), DefaultWidth)
	parts := map[string]int{}
	for _, g := range s.paintOrder() {
		parts[a.Panels[g.face.panel].ID]++
	}
	if parts["port.figure"]+parts["starboard.figure"] < 3 {
		t.Errorf("parts painted: %v; one of the crossing figures must be in two", parts)
	}
}
