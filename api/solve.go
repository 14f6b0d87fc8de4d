package api

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// Solve answers where every panel is, as the JSON of a Solution.
//
// The poses are written by hand: they are nearly all of the answer, and
// encoding/json takes far longer over them than the solver does.
func (p *Pipeline) Solve(ctx context.Context, doc *Document, options SolveOptions) ([]byte, error) {
	a := p.compile(ctx, doc)
	c, err := options.course(a)
	if err != nil {
		return nil, err
	}
	found := []Finding{}
	if options.Findings {
		list, err := p.findings(ctx, a)
		if err != nil {
			return nil, err
		}
		found = wireFindings(doc.Design, list)
	}
	w := newSolutionWriter(a, c.hand)
	if options.Conditioning {
		w.conditioner = newConditioner(a)
	}
	if err := w.grow(c); err != nil {
		return nil, err
	}
	if err := w.begin(doc); err != nil {
		return nil, err
	}
	var posing, writing time.Duration
	began := time.Now()
	for i := range c.values {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		start := time.Now()
		opening, drive := c.at(i)
		a.PoseInto(w.pose, drive)
		posed := time.Now()
		if err := w.addPose(i, opening); err != nil {
			return nil, err
		}
		posing += posed.Sub(start)
		writing += time.Since(posed)
	}
	start := time.Now()
	body, err := w.end(found)
	// The two take turns; they are told of one after the other.
	p.observe(ctx, stagePose, began, posing)
	p.observe(ctx, stageEncode, began.Add(posing), writing+time.Since(start))
	return body, err
}

// solutionWriter writes a Solution. Ids of panels, folds and mechanisms are
// lower-case letters, digits, dots and underscores, so they need no escapes.
type solutionWriter struct {
	dst  []byte
	bad  bool // a number was not finite
	a    *kinematics.Assembly
	pose *kinematics.Pose
	hand *hand
	// conditioner is nil unless it is asked for.
	conditioner *conditioner

	vertices []geom.Vec3
	perUnit  float64
}

func newSolutionWriter(a *kinematics.Assembly, h *hand) *solutionWriter {
	return &solutionWriter{a: a, pose: a.NewPose(), hand: h, perUnit: a.Design.Units.PerUnit()}
}

// maxSolution bounds the length of an answer, which is held in memory: a
// figure's outline can have very many points, and there may be many openings.
const maxSolution = 128 << 20

// grow makes room for the whole answer: growing a large slice on the way costs
// more than writing into it.
func (w *solutionWriter) grow(c *course) error {
	// Bytes of a point of the world, of a fold, a driver and how a mechanism is
	// driven in a pose, and of the rest, as they are on average and a little
	// more.
	const point, fold, driver, conditioned, head = 36, 150, 64, 160, 1 << 12
	poses := len(c.values)
	onePose := len(w.a.Folds)*fold + len(w.a.Drivers)*driver
	if w.conditioner != nil {
		onePose += len(w.a.Design.Mechanisms) * conditioned
	}
	for i := range w.a.Panels {
		onePose += len(w.a.Panels[i].Outline)*point + 4
	}
	room := head + len(w.a.Panels)*64 + len(w.a.Folds)*256 + (poses+1)*onePose
	if room > maxSolution {
		return &optionFault{c.longest, TooMany, fmt.Sprintf("%d poses of this design are too long for one answer; ask for at most %d at a time",
			poses, max(1, maxSolution/onePose-1))}
	}
	w.dst = make([]byte, 0, room)
	return nil
}

func (w *solutionWriter) text(s string) { w.dst = append(w.dst, s...) }

func (w *solutionWriter) comma(i int) {
	if i > 0 {
		w.dst = append(w.dst, ',')
	}
}

func (w *solutionWriter) quoted(s string) {
	w.dst = append(w.dst, '"')
	w.dst = append(w.dst, s...)
	w.dst = append(w.dst, '"')
}

func (w *solutionWriter) number(v float64) {
	w.bad = w.bad || !finite(v)
	w.dst = appendNumber(w.dst, v)
}

// length writes a length given in mm in the design's units.
func (w *solutionWriter) length(mm float64) { w.number(mm / w.perUnit) }

// point writes a point of the world. Most of an answer is points, so it keeps
// the slice at hand.
func (w *solutionWriter) point(p geom.Vec3) {
	w.bad = w.bad || !finite(p.X) || !finite(p.Y) || !finite(p.Z)
	dst := append(w.dst, '[')
	dst = appendNumber(dst, p.X/w.perUnit)
	dst = append(dst, ',')
	dst = appendNumber(dst, p.Y/w.perUnit)
	dst = append(dst, ',')
	dst = appendNumber(dst, p.Z/w.perUnit)
	w.dst = append(dst, ']')
}

func (w *solutionWriter) mechanism(index int) {
	if index != kinematics.Spread {
		w.text(`,"mechanism":`)
		w.quoted(w.a.Design.Mechanisms[index].ID)
	}
}

func (w *solutionWriter) begin(doc *Document) error {
	w.text(`{"units":`)
	w.quoted(string(doc.Design.Units))
	w.text(`,"design_hash":`)
	w.quoted(doc.Hash)
	w.text(`,"panels":[`)
	for i := range w.a.Panels {
		w.comma(i)
		w.panel(&w.a.Panels[i])
	}
	w.text(`],"folds":[`)
	for i := range w.a.Folds {
		w.comma(i)
		w.fold(&w.a.Folds[i])
	}
	w.text(`],"drivers":`)
	if err := w.marshalled(wireDrivers(w.a, w.hand.scales)); err != nil {
		return err
	}
	w.text(`,"strips":`)
	if err := w.marshalled(wireStrips(w.a)); err != nil {
		return err
	}
	w.text(`,"linkages":`)
	if err := w.marshalled(wireLinkages(w.a)); err != nil {
		return err
	}
	w.text(`,"poses":[`)
	return nil
}

// marshalled writes what is short and needs no speed.
func (w *solutionWriter) marshalled(v any) error {
	body, err := json.Marshal(v)
	w.dst = append(w.dst, body...)
	return err
}

func (w *solutionWriter) panel(p *kinematics.Panel) {
	w.text(`{"id":`)
	w.quoted(p.ID)
	w.mechanism(p.Mechanism)
	w.text(`,"outline":[`)
	for i, v := range p.Outline {
		w.comma(i)
		w.dst = append(w.dst, '[')
		w.length(v.X)
		w.dst = append(w.dst, ',')
		w.length(v.Y)
		w.dst = append(w.dst, ']')
	}
	w.text(`]}`)
}

func (w *solutionWriter) fold(f *kinematics.Fold) {
	id := func(panel int) { w.quoted(w.a.Panels[panel].ID) }
	w.text(`{"id":`)
	w.quoted(f.ID)
	w.mechanism(f.Mechanism)
	w.text(`,"panels":[`)
	id(f.Panels[0])
	w.comma(1)
	id(f.Panels[1])
	w.text(`],"left_face":`)
	id(f.Left.Panel)
	w.text(`,"right_face":`)
	id(f.Right.Panel)
	w.text(`,"length":`)
	w.length(f.Length - f.Start)
	w.dst = append(w.dst, '}')
}

// addPose writes the pose that has just been worked out.
func (w *solutionWriter) addPose(i int, opening float64) error {
	w.comma(i)
	w.text(`{"opening":`)
	w.number(opening)
	w.text(`,"drivers":{`)
	for k := range w.a.Drivers {
		w.comma(k)
		w.quoted(w.a.Drivers[k].ID)
		w.dst = append(w.dst, ':')
		w.number(w.hand.shown[k])
	}
	w.text(`},"reachable":`)
	if w.pose.AllReached {
		w.text(`true`)
	} else {
		w.text(`false`)
		w.unreachable()
	}
	w.text(`,"panels":[`)
	for k := range w.a.Panels {
		w.comma(k)
		w.panelPose(k)
	}
	w.text(`],"folds":[`)
	written := 0
	for k := range w.a.Folds {
		if w.pose.HasFold(k) {
			w.comma(written)
			w.foldPose(k)
			written++
		}
	}
	w.text(`],"strips":[`)
	w.stripPoses()
	w.text(`],"height":`)
	w.length(w.pose.Height())
	if w.conditioner != nil {
		w.text(`,"conditioning":`)
		if err := w.marshalled(w.conditioner.of(w.pose)); err != nil {
			return err
		}
	}
	w.dst = append(w.dst, '}')
	return nil
}

func (w *solutionWriter) unreachable() {
	w.text(`,"unreachable":[`)
	written := 0
	for i, reach := range w.pose.Reach {
		if reach == kinematics.Reached {
			continue
		}
		w.comma(written)
		w.text(`{"mechanism":`)
		w.quoted(w.a.Design.Mechanisms[i].ID)
		w.text(`,"reason":`)
		w.quoted(string(reachReason(reach)))
		w.dst = append(w.dst, '}')
		written++
	}
	w.dst = append(w.dst, ']')
}

func (w *solutionWriter) panelPose(k int) {
	if !w.pose.Has(k) {
		w.text(`null`)
		return
	}
	w.dst = append(w.dst, '[')
	w.vertices = w.pose.AppendVertices(w.vertices[:0], k)
	for i, v := range w.vertices {
		w.comma(i)
		w.point(v)
	}
	w.dst = append(w.dst, ']')
}

func (w *solutionWriter) foldPose(k int) {
	w.text(`{"id":`)
	w.quoted(w.a.Folds[k].ID)
	w.text(`,"angle":`)
	w.number(w.pose.FoldAngle(k).Degrees())
	ends := w.pose.FoldEnds(k)
	w.text(`,"ends":[`)
	w.point(ends[0])
	w.comma(1)
	w.point(ends[1])
	w.text(`]}`)
}

func (w *solutionWriter) stripPoses() {
	written := 0
	for k := range w.a.Strips {
		if w.pose.Reach[w.a.Strips[k].Mechanism] != kinematics.Reached {
			continue
		}
		w.comma(written)
		w.text(`{"id":`)
		w.quoted(w.a.Strips[k].ID)
		w.text(`,"travel":`)
		w.length(w.pose.Strips[k].Travel)
		w.text(`,"path":[`)
		for i, p := range w.pose.Strips[k].Path() {
			w.comma(i)
			w.point(p)
		}
		w.text(`]}`)
		written++
	}
}

func (w *solutionWriter) end(found []Finding) ([]byte, error) {
	w.text(`],"findings":`)
	if err := w.marshalled(found); err != nil {
		return nil, err
	}
	w.text("}\n")
	if w.bad {
		return nil, errNotANumber
	}
	return w.dst, nil
}

// reachReason is the word for why a mechanism is not reached.
func reachReason(r kinematics.Reach) UnreachableReason {
	switch r {
	case kinematics.LockedShut:
		return LockedShut
	case kinematics.LockedOpen:
		return LockedOpen
	case kinematics.Singular:
		return Singular
	default:
		return HostLocked
	}
}
