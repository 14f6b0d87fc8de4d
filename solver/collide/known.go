package collide

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// pairs is a set of pairs of bodies.
type pairs struct {
	n    int
	bits []uint64
}

func newPairs(n int) pairs { return pairs{n, make([]uint64, (n*n+63)/64)} }

func (s *pairs) has(i, j int) bool {
	k := s.number(i, j)
	return s.bits[k/64]>>(k%64)&1 != 0
}

func (s *pairs) add(i, j int) {
	k := s.number(i, j)
	s.bits[k/64] |= 1 << (k % 64)
}

func (s *pairs) number(i, j int) int { return min(i, j)*s.n + max(i, j) }

// know finds the pairs that cannot pass through each other whatever moves:
//
//   - layers, which lie in one plane at all times;
//   - pieces of which each is rigid with a panel of one fold. Their planes meet
//     in its line and nowhere else, so it is decided once whether both have
//     paper on both sides of it at one place. That they do not turn through each
//     other about the fold is for the fold's dihedral to tell;
//   - the far panel of a drawn tent and what it slides on: of its corners two are
//     in that plane and two on the ridge, which the near panel keeps on one side;
//   - a strip and the tent it draws, through which it is led.
func (b *Bodies) know(stopped func() bool) {
	b.known = newPairs(len(b.bodies))
	for i := range b.bodies {
		x := &b.bodies[i]
		for j := range i {
			y := &b.bodies[j]
			layers := x.sheet != None && x.sheet == y.sheet
			if layers || b.slides(x, y) || b.slides(y, x) || b.draws(x, y) {
				b.known.add(i, j)
			}
		}
	}
	rigid := newGroups(len(b.a.Panels))
	for i := range b.joints {
		if j := &b.joints[i]; j.Kind == kinematics.Glued {
			rigid.join(j.Faces[0].Panel, j.Faces[1].Panel)
		}
	}
	carried := make([][]int, len(b.a.Panels)) // bodies by the set they are rigid with
	for i := range b.bodies {
		if x := &b.bodies[i]; x.Strip == None {
			set := rigid.of(x.Panel)
			carried[set] = append(carried[set], i)
		}
	}
	b.knowFolds(rigid, carried, stopped)
}

// Only leaves out what concerns none of the mechanisms that are told to matter: pairs
// of which neither piece is of one, and the folds of others.
func (b *Bodies) Only(matter func(mechanism int) bool) {
	b.matter = matter
	for i := range b.bodies {
		for j := range i {
			if !b.matters(b.bodies[i].mechanism) && !b.matters(b.bodies[j].mechanism) {
				b.known.add(i, j)
			}
		}
	}
}

func (b *Bodies) matters(mechanism int) bool { return b.matter == nil || b.matter(mechanism) }

func (b *Bodies) slides(x, y *body) bool {
	return x.Strip == None && x.strip != None && b.sheets[x.holds[1].panel] == y.sheet
}

// draws tells whether y is a strip and x a panel it draws or is led through.
func (b *Bodies) draws(x, y *body) bool {
	if y.Strip == None {
		x, y = y, x
	}
	if y.Strip == None || x.Strip != None {
		return false
	}
	s := &b.a.Strips[y.Strip]
	return x.Panel == s.Pulls.Panel || x.Panel == s.Gap.Panel
}

// triedOpenings are where the pieces beside a fold are looked at, as parts of the
// widest: the first at which they are posed will do.
var triedOpenings = []geom.Angle{0.7, 1, 0.3, 0.1}

func (b *Bodies) knowFolds(rigid groups, carried [][]int, stopped func() bool) {
	tried := make([]bool, len(b.joints))
	for _, part := range triedOpenings {
		b.a.PoseInto(b.pose, kinematics.Drive{Opening: part * b.a.Design.Spread.OpensTo})
		b.place(b.pose)
		for k := range b.joints {
			j := &b.joints[k]
			p, q := j.Faces[0].Panel, j.Faces[1].Panel
			if tried[k] || j.Kind != kinematics.Hinged || !b.pose.Has(p) || !b.pose.Has(q) {
				continue
			}
			tried[k] = true
			at, along := b.pose.Panels[p].At(j.Faces[0].Origin), b.pose.Panels[p].Dir(j.Faces[0].Along)
			for _, x := range carried[rigid.of(p)] {
				for _, y := range carried[rigid.of(q)] {
					if stopped() {
						return
					}
					if x != y && !crossAlong(b.bodies[x].face, b.bodies[y].face, at, along, b.noise) {
						b.known.add(x, y)
					}
				}
			}
		}
	}
}

// crossAlong tells whether two faces have paper on both sides of a line at one
// place, the line being in the planes of both.
func crossAlong(f, g *Face, at, along geom.Vec3, noise float64) bool {
	for _, face := range [2]*Face{f, g} {
		for i, c := range face.corners {
			face.heights[i] = face.normal.Dot(along.Cross(c.Sub(at)))
		}
		face.cut(along, noise)
	}
	for _, s := range f.spans {
		for _, t := range g.spans {
			if min(s.to, t.to)-max(s.from, t.from) > noise {
				return true
			}
		}
	}
	return false
}
