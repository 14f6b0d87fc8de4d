package stack

import (
	"slices"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// Sort is what a layer is.
type Sort uint8

const (
	Panel Sort = iota
	Strip      // a straight part of one
	Tab        // what is glued to a panel: of a base line, a strip, a guide or a hub
)

func (s Sort) String() string { return [...]string{"panel", "strip", "tab"}[s] }

// Piece is one layer of paper of the shut page.
type Piece struct {
	Sort      Sort
	ID        string // of the panel, of the strip, or of the joint a tab is of
	Mechanism int    // index in the design, or kinematics.Spread
	// Panel is the panel, or the one a tab is glued to; -1 for a strip.
	Panel int
}

// piece is a layer with its place.
type piece struct {
	Piece
	rings [][]geom.Vec2 // in the shut page
	parts [][]geom.Vec2 // the same as convex polygons
	box   geom.Box2

	rate    tilt // first order
	ajar    tilt // the same from a pose a little open
	hasAjar bool

	lie // how it was put where it is
}

// noPanel stands for the panel of a strip.
const noPanel = -1

// OutlineTolerance is how far, in mm, the outlines of layers may stray from
// their curves.
const OutlineTolerance = kinematics.OutlineTolerance

// addPanels adds a piece for every panel that lies flat.
func (s *stack) addPanels() {
	s.pieceOf = make([]int, len(s.a.Panels))
	for i := range s.a.Panels {
		s.pieceOf[i] = -1
		panel := &s.a.Panels[i]
		if s.halted() || !s.isFlat(panel.Mechanism) {
			continue
		}
		p := piece{Piece: Piece{Sort: Panel, ID: panel.ID, Mechanism: panel.Mechanism, Panel: i}}
		p.rings = s.inPage(i, ringsOf(panel))
		s.tiltPanel(&p, i)
		s.pieceOf[i] = s.add(p)
	}
}

// inPage takes rings of a panel to the shut page. Outlines stay anticlockwise.
func (s *stack) inPage(panel int, rings [][]geom.Vec2) [][]geom.Vec2 {
	frame := &s.shut.Panels[panel]
	mirrored := flat(frame.X).Cross(flat(frame.Y)) < 0
	out := make([][]geom.Vec2, len(rings))
	for i, ring := range rings {
		out[i] = make([]geom.Vec2, len(ring))
		for k, q := range ring {
			out[i][k] = flat(frame.At(q))
		}
		if mirrored {
			slices.Reverse(out[i])
		}
	}
	return out
}

// ringsOf is the shape of a panel as rings that do not cross; of one too tangled
// for that, what is around it.
func ringsOf(panel *kinematics.Panel) [][]geom.Vec2 {
	rings, err := paper.Rings(panel, OutlineTolerance)
	if err != nil {
		rings = [][]geom.Vec2{hull(panel.Outline)}
	}
	return rings
}

// add works out what follows from a piece's rings and adds it.
func (s *stack) add(p piece) int {
	p.parts, p.box = geom.ConvexParts(p.rings), boxOf(p.rings)
	s.pieces = append(s.pieces, p)
	return len(s.pieces) - 1
}

// tiltPanel finds how a piece that is rigid with a panel moves.
func (s *stack) tiltPanel(p *piece, panel int) {
	if s.ajar.Has(panel) {
		p.ajar, p.hasAjar = tiltOfPose(&s.ajar.Panels[panel], float64(s.ajar.Drive.Opening))
	}
	switch {
	case s.rate.Has(panel):
		p.rate = tiltOfRate(&s.shut.Panels[panel], &s.rate.Panels[panel])
	case p.hasAjar:
		p.rate = p.ajar // a motion without a derivative at shut
	}
}

// addStrips adds a piece for every straight part of every strip.
func (s *stack) addStrips() {
	for i := range s.a.Strips {
		strip := &s.a.Strips[i]
		if !s.isFlat(strip.Mechanism) {
			continue
		}
		for k := range paper.Bands(s.a, s.shut, i) {
			band, ok := paper.BandAt(s.a, s.shut, i, k)
			if !ok {
				continue
			}
			p := piece{Piece: Piece{Sort: Strip, ID: strip.ID, Mechanism: strip.Mechanism, Panel: noPanel}}
			ring := make([]geom.Vec2, 4)
			for c, q := range [4]geom.Vec2{{}, {X: band.Length}, {X: band.Length, Y: band.Width}, {Y: band.Width}} {
				ring[c] = flat(band.Frame.At(q))
			}
			p.rings = anticlockwise([][]geom.Vec2{ring})
			host := s.hostPanel(strip.Mechanism)
			if strip.Length > 0 {
				s.tiltBand(&p, i, k)
			} else {
				s.tiltPanel(&p, host)
			}
			p.lie = s.lieOnPanel(host, strip.Behind, rank{order: s.order[strip.Mechanism], within: -k - 1})
			s.add(p)
		}
	}
}

// hostPanel is the panel a mechanism lies on.
func (s *stack) hostPanel(mechanism int) int {
	return s.a.PanelIndex(s.a.Design.Mechanisms[mechanism].On.Panel)
}

// tiltBand finds how part k of a strip drawn by the opening moves, from the
// panels its ends are on: what it pulls first, its anchor last, and between
// them the foot of the panel it passes.
func (s *stack) tiltBand(p *piece, strip, k int) {
	path := s.shut.Strips[strip].Path()
	a, b := flat(path[k]), flat(path[k+1])
	d := &s.a.Strips[strip]
	rate := func(point int) float64 {
		panel, at := d.Gap.Panel, geom.Vec2{X: (d.Gap.From + d.Gap.To) / 2}
		switch point {
		case 0:
			panel, at = d.Pulls.Panel, d.Pulls.Origin
		case len(path) - 1:
			panel, at = d.Anchor.Panel, d.Anchor.Origin
		}
		return s.rate.Panels[panel].At(at).X
	}
	p.rate = tiltBetween(a, b, rate(k), rate(k+1))
	if ajar := s.ajar.Strips[strip].Path(); s.ajar.Reach[d.Mechanism] == kinematics.Reached && len(ajar) == len(path) {
		t := float64(s.ajar.Drive.Opening)
		p.ajar = tiltBetween(flat(ajar[k]), flat(ajar[k+1]), ajar[k].X/t, ajar[k+1].X/t)
		p.hasAjar = true
	}
}
