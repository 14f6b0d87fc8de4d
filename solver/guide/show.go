package guide

import (
	"errors"
	"slices"

	"foldwright/solver/assemble"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/view"
)

const (
	pictureWidth = 340
	maxFlags     = 60 // more hide what they point to
	// jointWeight is what the place of a joint counts for where the new part is
	// no panel, mm².
	jointWeight = 100
)

// show draws a step, unless the pictures before it are too much already or what
// it shows is too tangled to draw.
func (w *writer) show(step *Step, s *assemble.Step) error {
	if w.shapes > maxShapes {
		return nil
	}
	err := w.draw(step, s)
	switch {
	case errors.Is(err, view.ErrStopped):
		return ErrStopped
	case errors.Is(err, view.ErrTangled):
		step.Picture, step.Caption = nil, ""
		return nil
	case err != nil:
		return err
	}
	w.shapes += len(step.Picture.Shapes)
	return nil
}

// draw shows the flat part where one is scored, else what hangs together by then.
func (w *writer) draw(step *Step, s *assemble.Step) error {
	if s.Kind == assemble.Prepare {
		w.showFlat(step, s)
		return nil
	}
	parts := w.inPlace(s)
	shown := w.panelsOf(parts)
	first := w.indexOf(s.Parts[0])
	fresh := w.panelsOf([]int{first})
	spots := w.spots(s.Joints)
	samples := w.eyes.samplesOf(fresh)
	if len(samples) == 0 {
		samples = spots
	}
	if len(shown) == 0 {
		w.showFlat(step, s)
		return nil
	}
	pose, viewpoint := w.eyes.best(samples, shown)
	if w.behindPage(s) {
		viewpoint = viewBelow
	}
	o := view.Options{Width: pictureWidth, Camera: w.eyes.camera(viewpoint), Look: w.look(parts, first), Stop: w.o.Stop}
	for i, at := range spots {
		if at.weight > 0 && pose.Has(at.panel) && len(o.Marks) < maxFlags {
			o.Marks = append(o.Marks, view.Mark{At: pose.Panels[at.panel].At(at.at), Label: w.p.Joints[s.Joints[i]].Label})
		}
	}
	say := w.w.captionBench
	if s.OnPage {
		say = w.w.caption
	}
	step.Caption = say.with("parts", w.name(s.Parts[0]), "angle", angle(pose.Drive.Opening), "view", w.w.views[viewpoint])
	var err error
	if step.Picture, err = view.Draw(w.a, pose, o); err != nil {
		return err
	}
	step.Picture.Title = step.Title + ". " + step.Caption
	return nil
}

func (w *writer) showFlat(step *Step, s *assemble.Step) {
	step.Caption = w.w.captionFlat.with("part", w.name(s.Parts[0]))
	step.Picture = flatPicture(w.part[s.Parts[0]], step.Caption)
}

// behindPage tells whether a step is about a strip that lies behind the page,
// which has no panel to look for.
func (w *writer) behindPage(s *assemble.Step) bool {
	return s.OnPage && slices.ContainsFunc(w.a.Strips, func(strip kinematics.Strip) bool {
		return strip.Behind && slices.Contains(s.Parts, strip.ID)
	})
}

// look hides what is not in place yet and emphasises the new part.
func (w *writer) look(parts []int, first int) func(sheet string) view.Look {
	looks := map[string]view.Look{}
	for _, i := range parts {
		as := view.Plain
		if i == first {
			as = view.Emphasised
		}
		for _, panel := range w.panelsOf([]int{i}) {
			looks[w.a.Panels[panel].ID] = as
		}
		looks[w.p.Parts[i].ID] = as // a strip
	}
	return func(sheet string) view.Look {
		if as, ok := looks[sheet]; ok {
			return as
		}
		return view.Hidden
	}
}

// spots are where joints are glued, one for each: on a panel of the host, or of
// the part where the host has none.
func (w *writer) spots(joints []int) []sample {
	list := make([]sample, len(joints))
	for i, k := range joints {
		j := &w.p.Joints[k]
		list[i] = w.spot(j.Host, k, false)
		if list[i].weight == 0 {
			list[i] = w.spot(j.Part, k, true)
		}
	}
	return list
}

func (w *writer) spot(id string, joint int, tab bool) sample {
	part := w.part[id]
	g := w.glueArea(&w.p.Joints[joint], id, tab)
	if g == nil || len(part.Panels) == 0 {
		return sample{panel: kinematics.Spread}
	}
	at := g.Path[:1].Bounds().Center()
	placed := part.Panels[0]
	for _, p := range part.Panels {
		if geom.PolygonContains(w.a.Panels[p.Panel].Outline, p.Place.Inverse().Apply(at)) {
			placed = p
			break
		}
	}
	side := 1.0
	if placed.Place.Mirror != g.OnBack {
		side = -1
	}
	return sample{placed.Panel, placed.Place.Inverse().Apply(at), side, jointWeight}
}
