package collide

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// None stands for a panel, a strip or a driver that there is none of.
const None = -1

// Piece names a piece of an assembly: a panel, or the part of a strip that runs
// free from page to page, by their numbers there. The other is None.
type Piece struct{ Panel, Strip int }

// Bodies are the pieces of an assembly, made ready to be looked at in pose after
// pose. They hold the room that takes, so they serve one at a time.
type Bodies struct {
	// Unread are the panels whose outlines are too tangled to tell inside from
	// outside. Nothing is found of them.
	Unread []int

	a      *kinematics.Assembly
	bodies []body
	size   float64
	sheets []int // by panel: one panel of those that lie in a plane with it
	known  pairs // of bodies that need no looking at

	prover
	pose   *kinematics.Pose
	ranges *kinematics.Ranges
	broad  broad
}

// body is a piece.
type body struct {
	Piece
	face *Face
	// hosts are the panels that carry its corners: of a strip the first carries
	// those where it begins and the second those where it ends.
	hosts [2]int
	// sheet is a panel in whose plane the body lies at all times, or None.
	sheet int
	// slidesOn is a panel whose plane its edge at v = 0 slides, or None.
	slidesOn  int
	mechanism int
	here      bool // in the pose looked at
}

// host is the panel that carries a corner.
func (b *body) host(corner int) int {
	if b.Strip != None && b.face.flat[corner].X > 0 {
		return b.hosts[1]
	}
	return b.hosts[0]
}

// frame is a panel in whose frame the body hardly moves.
func (b *body) frame() int {
	if b.sheet != None {
		return b.sheet
	}
	return b.hosts[0]
}

// Compile makes the pieces of an assembly ready.
func Compile(a *kinematics.Assembly) *Bodies {
	size := a.Design.Size()
	b := &Bodies{a: a, size: size, pose: a.NewPose(), ranges: a.NewRanges(), sheets: sheetsOf(a)}
	for i := range a.Panels {
		b.addPanel(i)
	}
	for i := range a.Strips {
		b.addStrip(i)
	}
	b.prover = prover{
		motion: motion{panels: len(a.Panels), joints: a.Joints(), hops: hopsOf(a), links: make([]link, len(a.Joints()))},
		noise:  Rounding * size,
	}
	corners := 0
	for i := range b.bodies {
		corners = max(corners, len(b.bodies[i].face.flat))
	}
	b.rays = make([]geom.Vec3, 0, 2*corners)
	b.know()
	b.broad = newBroad(len(b.bodies))
	return b
}

func (b *Bodies) addPanel(panel int) {
	rings, err := paper.Rings(&b.a.Panels[panel], kinematics.OutlineTolerance)
	if err != nil {
		b.Unread = append(b.Unread, panel)
		return
	}
	face := NewFace(rings)
	if len(face.flat) == 0 {
		return
	}
	b.bodies = append(b.bodies, body{
		Piece: Piece{panel, None}, face: face,
		hosts: [2]int{panel, panel}, sheet: b.sheets[panel],
		slidesOn: b.slidesOn(panel), mechanism: b.a.Panels[panel].Mechanism,
	})
}

// slidesOn is the panel that the far panel of a drawn tent slides on.
func (b *Bodies) slidesOn(panel int) int {
	m := b.a.Panels[panel].Mechanism
	if m == kinematics.Spread {
		return None
	}
	switch host := &b.a.Design.Mechanisms[m]; host.Spec.(type) {
	case *design.SlideTent, *design.PullTab:
		if b.a.Panels[panel].ID == host.ID+".far" {
			return b.sheets[b.a.PanelIndex(host.On.Panel)]
		}
	}
	return None
}

// addStrip adds the part of a strip that crosses the gutter. What lies on a page,
// or behind it, is a layer there.
func (b *Bodies) addStrip(strip int) {
	s := &b.a.Strips[strip]
	if s.Length == 0 {
		return
	}
	begins := s.Pulls.Panel
	b.a.PoseInto(b.pose, kinematics.Drive{Opening: b.a.Design.Spread.OpensTo})
	if paper.Bands(b.a, b.pose, strip) > 1 {
		begins = s.Gap.Panel // led under its base line
	}
	b.bodies = append(b.bodies, body{
		Piece: Piece{None, strip}, face: NewFace([][]geom.Vec2{{{}, {X: 1}, {X: 1, Y: s.Width}, {Y: s.Width}}}),
		hosts: [2]int{begins, s.Anchor.Panel}, sheet: None, slidesOn: None, mechanism: s.Mechanism,
	})
}

// place moves the pieces to where they are in a pose.
func (b *Bodies) place(p *kinematics.Pose) {
	for i := range b.bodies {
		b.placeBody(&b.bodies[i], p)
	}
}

func (b *Bodies) placeBody(x *body, p *kinematics.Pose) {
	if x.Strip == None {
		if x.here = p.Has(x.Panel); x.here {
			x.face.MoveTo(p.Panels[x.Panel])
		}
		return
	}
	band, ok := paper.BandAt(b.a, p, x.Strip, paper.Bands(b.a, p, x.Strip)-1)
	if x.here = ok; ok {
		x.face.stretch(band.Length)
		x.face.MoveTo(band.Frame)
	}
}
