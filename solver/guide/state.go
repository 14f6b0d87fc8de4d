package guide

import (
	"slices"

	"foldwright/solver/assemble"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
)

// glue notes that joints are glued: what they join hangs together from then on.
func (w *writer) glue(s *assemble.Step) {
	first := w.indexOf(s.Parts[0])
	if len(s.Joints) == 0 {
		return
	}
	for _, k := range s.Joints {
		w.glued[k] = true
		w.tie(w.indexOf(w.p.Joints[k].Part), w.indexOf(w.p.Joints[k].Host))
	}
	for _, id := range s.Parts {
		w.tie(first, w.indexOf(id)) // what a hub or runner goes through
	}
}

func (w *writer) indexOf(part string) int {
	return slices.IndexFunc(w.p.Parts, func(p pattern.Part) bool { return p.ID == part })
}

func (w *writer) tie(a, b int) {
	from, to := w.group[b], w.group[a]
	for i, g := range w.group {
		if g == from {
			w.group[i] = to
		}
	}
}

// inPlace lists the parts that hang together with those of a step, the page
// among them where the step is done on it.
func (w *writer) inPlace(s *assemble.Step) []int {
	var list []int
	for i := range w.p.Parts {
		if slices.ContainsFunc(s.Parts, func(id string) bool { return w.group[w.indexOf(id)] == w.group[i] }) {
			list = append(list, i)
		}
	}
	return list
}

// completes tells which mechanism a step completes: all its joints are glued now,
// those of what it stands on too, and it is on the page.
func (w *writer) completes(s *assemble.Step) (mechanism int, ok bool) {
	m := s.Mechanism
	return m, len(s.Joints) > 0 && s.OnPage && m != kinematics.Spread && w.whole(m)
}

func (w *writer) whole(m int) bool {
	for k := range w.p.Joints {
		if w.p.Joints[k].Mechanism == m && !w.glued[k] {
			return false
		}
	}
	return !slices.ContainsFunc(w.a.Design.HostsOf(m), func(h int) bool { return !w.whole(h) })
}
