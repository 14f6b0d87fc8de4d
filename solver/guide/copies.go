package guide

import (
	"math"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/pattern"
)

// run writes what changes when several copies are made, and the distances for a
// jig, which one copy can use too.
func (w *writer) run() {
	for k := range w.p.Joints {
		if jig, ok := w.jig(&w.p.Joints[k], k); ok {
			w.Jigs = append(w.Jigs, jig)
		}
	}
	if w.o.Copies == 1 {
		return
	}
	copies, pieces := decimal(float64(w.o.Copies), 0), 0
	for i := range w.Parts {
		pieces += w.Parts[i].Count
	}
	w.Run = []string{
		w.w.runFirst, w.w.runStock.with("pieces", w.w.piece.of(pieces), "copies", copies), w.w.runEach.with("copies", copies), w.w.runRest,
	}
	if len(w.Jigs) > 0 {
		w.Run = append(w.Run, w.w.runStops)
	}
	w.Run = append(w.Run, w.w.runIf)
}

// jig is where a joint lies on the page, for those that do. The page's part has
// the gutter along y from its foot.
func (w *writer) jig(j *pattern.Joint, k int) (Jig, bool) {
	page := &w.p.Parts[0]
	if j.Host != page.ID {
		return Jig{}, false
	}
	jig := Jig{Letter: j.Label, Part: j.Part}
	if w.folds(k) {
		f := &w.a.Folds[w.a.FoldIndex(j.ID)]
		face := &f.Left
		if face.Panel != f.Panels[0] {
			face = &f.Right
		}
		for _, placed := range page.Panels {
			if placed.Panel == face.Panel {
				at := func(u float64) geom.Vec2 { return placed.Place.Apply(face.Origin.Add(face.Along.Mul(u))) }
				jig.Line, jig.From, jig.To = true, w.place(at(f.Start)), w.place(at(f.Length))
				return jig, true
			}
		}
	}
	g := w.glueArea(j, page.ID, false)
	if g == nil {
		return jig, false
	}
	box := g.Path.Bounds()
	jig.From, jig.To = w.place(box.Min), w.place(box.Max)
	return jig, true
}

func (w *writer) place(at geom.Vec2) Place {
	p := Place{Page: "right", FromGutter: w.inUnits(math.Abs(at.X)), FromFoot: w.inUnits(at.Y)}
	if at.X < 0 {
		p.Page = "left"
	}
	return p
}

// Where says in words where a jig's place is.
func (g *Guide) Where(j *Jig) string {
	say := g.words.jigArea
	if j.Line {
		say = g.words.jigLine
	}
	return say.with("from", g.point(j.From), "to", g.point(j.To))
}

func (g *Guide) point(p Place) string {
	page := g.words.right
	if p.Page == "left" {
		page = g.words.left
	}
	return g.words.jigPoint.with("page", page, "gutter", g.written(p.FromGutter), "foot", g.written(p.FromFoot))
}

// written is a length in the guide's units as a ruler shows it.
func (g *Guide) written(v float64) string {
	places := 1
	if g.Units == string(design.Inches) {
		places = 2
	}
	return decimal(v, places) + " " + g.Units
}
