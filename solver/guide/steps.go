package guide

import (
	"slices"
	"strconv"
	"strings"

	"foldwright/solver/assemble"
	"foldwright/solver/pattern"
)

// maxShapes bounds the shapes of all pictures together, so the size of the file:
// some 10 MB. The examples have a few thousand.
const maxShapes = 100_000

// steps writes the plan out, between the cutting and what no order reaches.
func (w *writer) steps() error {
	w.add(w.cutOut())
	for i := range w.plan.Steps {
		if w.o.Stop != nil && w.o.Stop() {
			return ErrStopped
		}
		s := &w.plan.Steps[i]
		w.glue(s)
		step := w.step(s)
		if w.Pictures {
			if err := w.show(&step, s); err != nil {
				return err
			}
			if step.Picture == nil {
				w.bare = append(w.bare, i+2) // cutting out is the first
			}
		}
		w.add(step)
		if w.o.Progress != nil {
			w.o.Progress(i+1, len(w.plan.Steps))
		}
	}
	w.Intro = w.w.intro.with("title", w.Title, "steps", w.w.step.of(len(w.plan.Steps)+1))
	if len(w.bare) > 0 {
		w.Notices = append(w.Notices, w.w.bare.with("n", w.all(runsOf(w.bare))))
	}
	if left := slices.Concat(w.plan.Unreachable, w.plan.Undecided); len(left) > 0 {
		slices.Sort(left)
		w.add(w.outOfReach(left))
	}
	return nil
}

// runsOf writes rising numbers, those that follow one another as from and to.
func runsOf(numbers []int) []string {
	var out []string
	for i := 0; i < len(numbers); {
		k := i
		for k+1 < len(numbers) && numbers[k+1] == numbers[k]+1 {
			k++
		}
		run := strconv.Itoa(numbers[i])
		if k > i {
			run += "–" + strconv.Itoa(numbers[k])
		}
		out = append(out, run)
		i = k + 1
	}
	return out
}

func (w *writer) add(s Step) {
	s.Number = len(w.Steps) + 1
	w.Steps = append(w.Steps, s)
}

func (w *writer) cutOut() Step {
	text := w.w.cutByHand
	switch {
	case w.uses(Laser):
		text = w.w.cutByLaser
	case w.uses(CuttingMachine):
		text = w.w.cutByMachine
	}
	s := Step{Kind: CutOut, Title: string(w.w.titles[CutOut]), Text: []string{text, w.w.sortParts}}
	for i := range w.p.Parts {
		s.Parts = append(s.Parts, w.p.Parts[i].ID)
	}
	return s
}

func (w *writer) outOfReach(joints []int) Step {
	s := Step{
		Kind: OutOfReach, Title: string(w.w.titles[OutOfReach]), Joints: w.pairs(joints), Checks: []string{w.w.checkLetters},
		Text: []string{w.w.outOfReach.with("letters", w.letters(joints))},
	}
	for _, k := range joints {
		for _, id := range []string{w.p.Joints[k].Part, w.p.Joints[k].Host} {
			if !slices.Contains(s.Parts, id) {
				s.Parts = append(s.Parts, id)
			}
		}
	}
	return s
}

// step writes one step of the plan.
func (w *writer) step(s *assemble.Step) Step {
	out := Step{Kind: s.Kind, Title: w.stepTitle(s), Parts: s.Parts, Joints: w.pairs(s.Joints)}
	switch s.Kind {
	case assemble.Prepare:
		out.Text = w.prepare(w.part[s.Parts[0]])
	case assemble.Thread:
		out.Text = []string{w.w.thread.with("part", w.name(s.Parts[0]), "over", w.name(s.Parts[1])), w.w.threadFree}
		out.Checks = []string{w.w.checkSlides}
	case assemble.Insert:
		out.Text = w.insert(s)
	case assemble.Glue:
		out.Text = w.lay(s)
	case assemble.Shut:
		out.Text = w.shut(s)
	}
	if len(s.Joints) > 0 {
		out.Checks = w.stepChecks(s)
		out.Wait = w.waiting(s)
	}
	return out
}

func (w *writer) stepTitle(s *assemble.Step) string {
	var hosts []string
	for _, k := range s.Joints {
		if host := w.name(w.p.Joints[k].Host); !slices.Contains(hosts, host) && w.p.Joints[k].Host != s.Parts[0] {
			hosts = append(hosts, host)
		}
	}
	if through := w.through(s); s.Kind == assemble.Insert && len(through) > 0 {
		hosts = through
	}
	title := w.w.titles[s.Kind]
	if len(s.Joints) > 0 && len(hosts) == 0 {
		title = w.w.itself
	}
	return title.with("part", w.name(s.Parts[0]), "host", w.all(hosts))
}

func (w *writer) pairs(joints []int) []Joint {
	out := make([]Joint, len(joints))
	for i, k := range joints {
		j := &w.p.Joints[k]
		out[i] = Joint{Letter: j.Label, ID: j.ID, Part: j.Part, Host: j.Host, Dry: j.Dry}
		if g := w.glueArea(j, j.Host, false); g != nil {
			out[i].OnBack = g.OnBack
		}
	}
	return out
}

// glueArea is where a joint is glued on one of its two parts.
func (w *writer) glueArea(j *pattern.Joint, part string, tab bool) *pattern.GlueArea {
	list := w.part[part].Glue
	i := slices.IndexFunc(list, func(g pattern.GlueArea) bool { return g.Joint == j.ID && g.Tab == tab })
	if i < 0 {
		return nil
	}
	return &list[i]
}

func (w *writer) prepare(part *pattern.Part) []string {
	text := []string{
		w.w.scoreParts.with("part", w.name(part.ID), "creases", w.creases(part)), w.w.scoreBead, w.w.foldOnce,
	}
	if slices.ContainsFunc(part.Panels, func(p pattern.PanelPlacement) bool { return w.fromSheet(part, p.Panel) }) {
		text = append(text, w.w.pushOut)
	}
	return text
}

// fromSheet tells whether a panel of a part is cut from it for another mechanism.
func (w *writer) fromSheet(part *pattern.Part, panel int) bool {
	m := w.a.Panels[panel].Mechanism
	return m >= 0 && w.a.Design.Mechanisms[m].ID != part.Mechanism
}

// together groups joints of one part and one host, in their order.
func (w *writer) together(joints []int) [][]int {
	var groups [][]int
	for _, k := range joints {
		j := &w.p.Joints[k]
		at := slices.IndexFunc(groups, func(g []int) bool {
			return w.p.Joints[g[0]].Part == j.Part && w.p.Joints[g[0]].Host == j.Host
		})
		if at < 0 {
			groups = append(groups, []int{k})
		} else {
			groups[at] = append(groups[at], k)
		}
	}
	return groups
}

// folds tells whether a joint's tab bends along a crease.
func (w *writer) folds(k int) bool { return w.a.FoldIndex(w.p.Joints[k].ID) >= 0 }

// spread tells where the glue goes.
func (w *writer) spread(joints []int) []string {
	letters, part := w.letters(joints), w.name(w.p.Joints[joints[0]].Part)
	if !w.folds(joints[0]) {
		return []string{w.w.glueArea.with("letters", letters, "part", part)}
	}
	film := w.w.film
	if w.warmOnly() {
		film = w.w.warm
	}
	text := []string{film[len(joints) > 1].with("letters", letters, "part", part)}
	for _, back := range []bool{false, true} {
		var those []int
		for _, k := range joints {
			if g := w.glueArea(&w.p.Joints[k], w.p.Joints[k].Part, true); g != nil && g.OnBack == back {
				those = append(those, k)
			}
		}
		if len(those) > 0 {
			face := w.w.printedFace
			if back {
				face = w.w.reverseFace
			}
			text = append(text, w.w.tabFace.with("letters", w.letters(those), "face", face))
		}
	}
	return text
}

// behind tells which marks are on the reverse.
func (w *writer) behind(joints []int) []string {
	var those []int
	for _, k := range joints {
		if g := w.glueArea(&w.p.Joints[k], w.p.Joints[k].Host, false); g != nil && g.OnBack {
			those = append(those, k)
		}
	}
	if len(those) == 0 {
		return nil
	}
	return []string{w.w.markOnBack.with("letters", w.letters(those), "host", w.name(w.p.Joints[those[0]].Host))}
}

func (w *writer) beside(s *assemble.Step) []string {
	if s.OnPage {
		return nil
	}
	return []string{w.w.bench}
}

func (w *writer) lay(s *assemble.Step) []string {
	text := w.beside(s)
	for _, group := range w.together(s.Joints) {
		text = append(text, w.spread(group)...)
		lay := w.w.layArea
		if w.folds(group[0]) {
			lay = w.w.layCrease
		}
		text = append(text, lay.with("letters", w.letters(group), "host", w.name(w.p.Joints[group[0]].Host)))
		text = append(text, w.behind(group)...)
	}
	return text
}

func (w *writer) shut(s *assemble.Step) []string {
	text := w.beside(s)
	for _, group := range w.together(s.Joints) {
		text = append(append(text, w.spread(group)...), w.behind(group)...)
	}
	how := w.w.foldFlat
	if s.OnPage {
		how = w.w.closePage
	}
	return append(text, how.with("letters", w.letters(s.Joints)), w.w.openAgain)
}

// through are the parts that those of a step go through, besides their hosts.
func (w *writer) through(s *assemble.Step) []string {
	var list []string
	for _, id := range s.Parts {
		if !slices.ContainsFunc(s.Joints, func(k int) bool { return w.p.Joints[k].Part == id || w.p.Joints[k].Host == id }) {
			list = append(list, w.name(id))
		}
	}
	return list
}

func (w *writer) insert(s *assemble.Step) []string {
	text := w.beside(s)
	for _, group := range w.together(s.Joints) {
		part, host := w.name(w.p.Joints[group[0]].Part), w.name(w.p.Joints[group[0]].Host)
		through := w.all(w.through(s))
		if through == "" {
			through = host
		}
		var glued, dry []int
		for _, k := range group {
			if w.p.Joints[k].Dry {
				dry = append(dry, k)
			} else {
				glued = append(glued, k)
			}
		}
		if len(glued) > 0 {
			push := w.w.push
			if w.isHub(group[0]) {
				push = w.w.legs
			}
			text = append(text, push.with("part", part, "letters", w.letters(glued), "through", through, "host", host), w.w.mind)
			text = append(text, w.behind(glued)...)
		}
		if len(dry) > 0 {
			text = append(text, w.w.lock.with("letters", w.letters(dry)))
		}
	}
	return text
}

// isHub tells whether a joint is that of a paper rivet.
func (w *writer) isHub(k int) bool { return strings.HasSuffix(w.p.Joints[k].ID, "hub") }
