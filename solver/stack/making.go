package stack

import (
	"cmp"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// lie tells what a piece was put on: another piece and the side of it, +1
// towards the right page and -1 towards the left, and how soon after others put
// there. on is -1 for the pages.
type lie struct {
	on   int
	side float64
	rank rank
}

// rank orders what lies on one side of a piece, the nearest first: what is
// glued to it before what only lies there, tabs (2) before figures (1); then as
// made, panels in their order, strips under the panels of their mechanism, and
// of a strip its later parts first, since the link lies behind the strip.
type rank struct{ glued, order, within int }

func (r rank) compare(o rank) int {
	return cmp.Or(cmp.Compare(o.glued, r.glued), cmp.Compare(r.order, o.order), cmp.Compare(r.within, o.within))
}

// lieOnPanel puts a piece on the printed side of a panel or behind it.
func (s *stack) lieOnPanel(panel int, behind bool, r rank) lie {
	side := s.across(panel) * s.a.Panels[panel].Printed
	if behind {
		side = -side
	}
	return lie{on: s.pieceOf[panel], side: side, rank: r}
}

// layPanels finds what each panel was put on: the panel its mechanism is on, the
// host of its base fold, or a panel of its own mechanism it shares a fold with.
func (s *stack) layPanels() {
	laid := make([]bool, len(s.a.Panels))
	laid[0], laid[1] = true, true
	s.pieces[0].lie = lie{on: -1, rank: rank{within: 0}}
	s.pieces[1].lie = lie{on: -1, rank: rank{within: 1}}
	put := func(panel int, l lie) {
		if !laid[panel] {
			s.pieces[s.pieceOf[panel]].lie, laid[panel] = l, true
		}
	}
	rankOf := func(panel int) rank {
		m := s.a.Panels[panel].Mechanism
		r := rank{order: s.order[m], within: panel}
		if f, ok := s.a.Design.Mechanisms[m].Spec.(*design.Figure); ok && f.Fix == design.Glued {
			r.glued = 1
		}
		return r
	}
	for i := range s.a.Panels {
		if m := s.a.Panels[i].Mechanism; m >= 0 && s.pieceOf[i] >= 0 && s.a.Design.Mechanisms[m].On.Panel != "" {
			put(i, s.lieOnPanel(s.hostPanel(m), s.a.Panels[i].Behind, rankOf(i)))
		}
	}
	over := func(f *kinematics.Fold, from int) lie {
		face, left := &f.Left, true
		if face.Panel != f.Panels[from] {
			face, left = &f.Right, false
		}
		panel := f.Panels[from]
		return lie{on: s.pieceOf[panel], side: s.across(panel) * kinematics.WorkingSide(face, left), rank: rankOf(f.Panels[1-from])}
	}
	for _, base := range [2]bool{true, false} {
		for again := true; again; {
			again = false
			for i := range s.a.Folds {
				f := &s.a.Folds[i]
				if f.Mechanism < 0 || !s.isFlat(f.Mechanism) || base && f.Role != kinematics.BaseFold {
					continue
				}
				for from, host := range f.Panels {
					if other := f.Panels[1-from]; laid[host] && !laid[other] && s.a.Panels[other].Mechanism == f.Mechanism {
						put(other, over(f, from))
						again = true
					}
				}
			}
		}
	}
	for i, done := range laid {
		if !done && s.pieceOf[i] >= 0 {
			put(i, lie{on: 0, side: 1, rank: rankOf(i)})
		}
	}
}

// asMade is positive when piece j lies above piece i by the way they were made:
// everything on one side of a piece, and on what lies there, keeps to that side,
// and what was put there sooner is nearer.
func (s *stack) asMade(i, j int) int {
	a, b := s.chain(i), s.chain(j)
	k := 0
	for k < len(a) && k < len(b) && a[k] == b[k] {
		k++
	}
	switch {
	case k == len(a):
		return int(s.pieces[b[k]].side)
	case k == len(b):
		return -int(s.pieces[a[k]].side)
	}
	p, q := &s.pieces[a[k]], &s.pieces[b[k]]
	if p.side != q.side {
		return cmp.Compare(q.side, p.side)
	}
	later := cmp.Or(q.rank.compare(p.rank), cmp.Compare(b[k], a[k]))
	if p.side < 0 {
		return -later
	}
	return later
}

// chain lists what a piece was put on, the page first and itself last.
func (s *stack) chain(i int) []int {
	if s.chains[i] == nil {
		if on := s.pieces[i].on; on >= 0 {
			s.chains[i] = append(slices.Clip(s.chain(on)), i)
		} else {
			s.chains[i] = []int{i}
		}
	}
	return s.chains[i]
}
