package assemble

import "slices"

// writer writes an order out as steps.
type writer struct {
	*build
	list     []Step
	ready    []bool // by part: scored and folded
	threaded []bool // by strip
	onPage   []bool // by part
	glued    []bool // by joint
}

// steps writes the order out: the page is prepared first, every other part before
// its first use.
func (b *build) steps(order []act) []Step {
	w := &writer{
		build: b, ready: make([]bool, len(b.p.Parts)), threaded: make([]bool, len(b.a.Strips)),
		onPage: make([]bool, len(b.p.Parts)), glued: make([]bool, len(b.joints)),
	}
	w.onPage[0] = true // the page is the first part
	w.prepare(0)
	for i := range order {
		for _, k := range order[i].joints {
			for _, part := range w.handled(k) {
				w.prepare(part)
			}
		}
		w.thread(order[i].joints)
		w.glue(&order[i])
	}
	for part := range w.ready {
		w.prepare(part)
	}
	return w.list
}

// handled are the parts a joint concerns: its own, what that passes, its host.
func (w *writer) handled(i int) []int {
	j := &w.joints[i]
	return append(append([]int{j.part}, j.passes...), j.host)
}

func (w *writer) prepare(part int) {
	if !w.ready[part] && len(w.p.Parts[part].Creases) > 0 {
		w.list = append(w.list, Step{
			Kind: Prepare, Parts: []string{w.p.Parts[part].ID}, Mechanism: w.mechanismOf(part), Opening: w.a.Design.Spread.OpensTo,
		})
	}
	w.ready[part] = true
}

// thread lays strips where the joints will close over them.
func (w *writer) thread(joints []int) {
	for i := range w.a.Strips {
		s := &w.a.Strips[i]
		k := slices.IndexFunc(joints, func(k int) bool {
			j := &w.p.Joints[k]
			return j.Mechanism == s.Mechanism && (w.isGap(s, j) || w.isGuide(j))
		})
		if w.threaded[i] || k < 0 {
			continue
		}
		w.threaded[i] = true
		j := &w.p.Joints[joints[k]]
		w.list = append(w.list, Step{
			Kind: Thread, Parts: []string{s.ID, j.Part, j.Host}, Mechanism: s.Mechanism,
			OnPage: w.onPage[w.joints[joints[k]].host], Opening: w.a.Design.Spread.OpensTo,
		})
	}
}

// glue adds the step that glues joints, or adds them to the last step when that
// does the same to the same part.
func (w *writer) glue(taken *act) {
	for _, i := range taken.joints {
		w.glued[i] = true
	}
	w.spreadPage()
	first := taken.joints[0]
	step := Step{
		Kind: Glue, Mechanism: w.p.Joints[first].Mechanism, OnPage: w.onPage[w.joints[first].part],
		Opening: w.a.Design.Spread.OpensTo, Joints: slices.Clone(taken.joints),
	}
	slices.Sort(step.Joints)
	switch {
	case taken.shut:
		step.Kind, step.Opening = Shut, 0
	case w.p.Joints[first].Slotted:
		step.Kind = Insert
	}
	for _, i := range step.Joints {
		step.addParts(w.p.Joints[i].Part)
	}
	for _, i := range step.Joints {
		for _, part := range w.handled(i) {
			step.addParts(w.p.Parts[part].ID)
		}
	}
	if n := len(w.list); n > 0 && w.list[n-1].takes(&step) {
		w.list[n-1].Joints = append(w.list[n-1].Joints, step.Joints...)
		w.list[n-1].addParts(step.Parts...)
		return
	}
	w.list = append(w.list, step)
}

// takes tells whether one step can do what the next would.
func (s *Step) takes(next *Step) bool {
	return s.Kind == next.Kind && s.Mechanism == next.Mechanism && s.OnPage == next.OnPage && s.Parts[0] == next.Parts[0] && len(s.Joints) > 0
}

// spreadPage notes what hangs on the page by now.
func (w *writer) spreadPage() {
	for again := true; again; {
		again = false
		for i := range w.joints {
			if !w.glued[i] {
				continue
			}
			held := w.handled(i)
			if !slices.ContainsFunc(held, func(part int) bool { return w.onPage[part] }) {
				continue
			}
			for _, part := range held {
				again = again || !w.onPage[part]
				w.onPage[part] = true
			}
		}
	}
}

func (s *Step) addParts(ids ...string) {
	for _, id := range ids {
		if !slices.Contains(s.Parts, id) {
			s.Parts = append(s.Parts, id)
		}
	}
}
