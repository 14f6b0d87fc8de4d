package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Seed is what a rate is taken with respect to: one thing that grows at the rate
// 1. A seed belongs to the assembly that made it and can be shared.
type Seed struct {
	opening   float64   // rate of the opening
	driver    int       // hand driver that moves, or -1
	hands     []float64 // rates of all drivers, in place of driver; nil where one moves at most
	mechanism int       // whose measurement changes, or Spread
	own       any       // rates of that mechanism's constants, as its poser keeps them

	outlines [][]geom.Vec2 // by panel: rates of the outline's vertices, nil where it keeps
	edges    []edgeRate    // by fold; nil when all keep
}

// SeedOpening is the opening of the book, per radian.
func (a *Assembly) SeedOpening() Seed { return Seed{opening: 1, driver: -1, mechanism: Spread} }

// SeedDriver is a hand driver, per mm or radian of its value.
func (a *Assembly) SeedDriver(driver int) Seed { return Seed{driver: driver, mechanism: Spread} }

// SeedNumber is a measurement of the design, found by its pointer, per mm or
// radian whatever the document's units; false when there is none.
func (a *Assembly) SeedNumber(pointer string) (Seed, bool) {
	if mechanism, field, ok := design.SplitPointer(pointer); ok && mechanism < len(a.Design.Mechanisms) {
		return a.SeedFields(mechanism, map[string]float64{field: 1})
	}
	w := Seed{driver: -1, mechanism: Spread}
	_, ok := a.Design.Number(pointer)
	a.varySpread(&w, pointer)
	return w, ok
}

// SeedFields is measurements of one mechanism that change together, each named
// by its field, "left/base_angle" and the like, at a rate of its own. Where both
// sides change alike a shut pose has a rate, though it has none with each of them
// alone. false when one of them is none.
func (a *Assembly) SeedFields(mechanism int, fields map[string]float64) (Seed, bool) {
	w := Seed{driver: -1, mechanism: Spread}
	rates, ok := a.Design.RatesOf(mechanism, fields)
	if !ok {
		return w, false
	}
	for i := range a.steps {
		if a.steps[i].mechanism != mechanism {
			continue
		}
		s := a.shapeRate(a.Design.Mechanisms[mechanism].Spec)
		w.mechanism, w.own = mechanism, a.steps[i].poser.vary(rates, s)
		w.outlines, w.edges = s.outlines, s.edges
	}
	return w, true
}

func (w *Seed) edge(fold int) edgeRate {
	if w.edges == nil {
		return edgeRate{}
	}
	return w.edges[fold]
}

// hand is how fast a driver moves.
func (r *Rate) hand(driver int) float64 {
	if r.seed.hands != nil {
		return r.seed.hands[driver]
	}
	if driver == r.seed.driver {
		return 1
	}
	return 0
}

// varySpread changes the outlines of the pages and the length of the gutter. No
// pose depends on either.
func (a *Assembly) varySpread(w *Seed, pointer string) {
	var height, width float64
	switch pointer {
	case "/spread/page_height":
		height = 1
	case "/spread/page_width":
		width = 1
	default:
		return
	}
	page, s := a.Design.Spread, a.shapeRate(nil)
	h, v, r := page.PageHeight, page.PageWidth, page.CornerRadius
	corners := []corner{
		at2(0, 0, 0, 0), at2(h, 0, height, 0),
		at2(h, v-r, height, width), at2(h-r, v, height, width),
		at2(r, v, 0, width), at2(0, v-r, 0, width),
	}
	s.outline(pageLeft, corners...)
	s.outline(pageRight, corners...)
	s.edges[gutterFold].length = height
	w.outlines, w.edges = s.outlines, s.edges
}

// ownRates are the rates of a mechanism's constants, all zero when they keep.
func ownRates[T any](own any, none *T) *T {
	if rates, ok := own.(*T); ok {
		return rates
	}
	return none
}
