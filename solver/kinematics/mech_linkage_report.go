package kinematics

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"foldwright/solver/geom"
)

// freeTolerance is the singular value, as a fraction of the largest, below
// which a direction counts as free in a report: well under a pivot at a tenth
// of a degree (1e-3) and its square, well over rounding.
const freeTolerance = 1e-8

// reportOpenings is at how many openings, spread over the range reached, a
// linkage is looked at for its report.
const reportOpenings = 9

// LinkageReport tells how a linkage is held over the openings it reaches.
type LinkageReport struct {
	Mechanism int // index in the design
	// Solved is whether any way to close was found. Without one the rest is
	// zero but for the counts.
	Solved bool
	// Panels, Folds and Balls count its panels, its hinges and glued edges, and
	// its glued points.
	Panels, Folds, Balls int
	// Mobility is Kutzbach's count 6·panels - 5·folds - 3·balls, which is right
	// only where no equation repeats another.
	Mobility int
	// Freedom is how many ways to move are left with the book held still, the
	// least over the range; 0 for what is wholly driven.
	Freedom int
	// Redundancy is how many equations repeat others, Freedom - Mobility.
	Redundancy int
	// Residual is the greatest gap left at a joint over the range, mm.
	Residual float64
	// From and To are the openings reached. LocksShut and LocksOpen tell that
	// it is the linkage that stops the book there.
	From, To             geom.Angle
	LocksShut, LocksOpen bool
	// Start is the opening the way starts from, and StartAngles the dihedrals
	// of the folds there; given in the document, they choose the same way.
	Start       geom.Angle
	StartAngles []FoldAngle
	// Closures is how many ways to close were found at the start, of which one
	// was taken. With freedom left it is only how many were looked at.
	Closures int
}

// FoldAngle is the dihedral of a fold on its working side.
type FoldAngle struct {
	Fold  int // in the assembly
	Angle geom.Angle
}

// LinkageState tells how a linkage is held in one pose.
type LinkageState struct {
	Mechanism int
	// Rank is that of the derivative of the equations, of 6 unknowns a panel;
	// Freedom is what it lacks of them. It drops where the pose is singular.
	Rank, Freedom, Redundancy int
	Residual                  float64 // mm
	// Conditioning is the least singular value that counts as held, as a
	// fraction of the largest: near zero, the linkage is close to singular.
	Conditioning float64
}

// Linkages reports on the linkages of the assembly, in the order of posing.
func (a *Assembly) Linkages() []LinkageReport {
	list := make([]LinkageReport, len(a.linkages))
	p := a.NewPose()
	for i, l := range a.linkages {
		r := &list[i]
		r.Mechanism, r.Panels, r.Folds = l.mechanism, l.panels, len(l.folds)
		r.Balls = len(l.tree) + len(l.loops) - len(l.folds)
		r.Mobility = panelUnknowns*r.Panels - hingeEquations*r.Folds - ballEquations*r.Balls
		if r.Solved = len(l.path.openings) > 0; !r.Solved {
			continue
		}
		r.From, r.To = openingOf(l.path.from), openingOf(l.path.to)
		r.LocksShut, r.LocksOpen = l.path.below == endOfLoops, l.path.above == endOfLoops
		r.Start, r.Closures = openingOf(l.path.start), l.path.closures
		r.Freedom = math.MaxInt
		for k := range reportOpenings {
			share := (float64(k) + 0.5) / reportOpenings // off the ends, which are singular
			a.PoseInto(p, Drive{Opening: r.From + geom.Angle(share)*(r.To-r.From)})
			if state, ok := l.state(p); ok {
				r.Freedom = min(r.Freedom, state.Freedom)
				r.Residual = max(r.Residual, state.Residual)
			}
		}
		a.PoseInto(p, Drive{Opening: r.Start})
		if state, ok := l.state(p); ok {
			r.Freedom = min(r.Freedom, state.Freedom)
		}
		r.Redundancy = r.Freedom - r.Mobility
		for _, fold := range l.folds {
			r.StartAngles = append(r.StartAngles, FoldAngle{fold, p.FoldAngle(fold)})
		}
	}
	return list
}

// Linkages reports on the linkages that are reached in this pose.
func (p *Pose) Linkages() []LinkageState {
	var list []LinkageState
	for _, l := range p.a.linkages {
		if state, ok := l.state(p); ok {
			list = append(list, state)
		}
	}
	return list
}

// state examines the linkage as it is posed.
func (l *linkage) state(p *Pose) (LinkageState, bool) {
	if p.Reach[l.mechanism] != Reached {
		return LinkageState{}, false
	}
	w := &p.linkages[l.work]
	l.place(p, w)
	s := LinkageState{Mechanism: l.mechanism, Residual: l.residual(p, w)}
	rank := 0
	if l.equations > 0 {
		l.derive(p, w)
		// The slopes are by columns, which reads as the transpose by rows; its
		// singular values are the same.
		var svd mat.SVD
		if !svd.Factorize(mat.NewDense(l.unknowns, l.equations, w.slopes), mat.SVDNone) {
			return LinkageState{}, false
		}
		values := svd.Values(nil)
		for _, v := range values {
			if v > freeTolerance*values[0] {
				s.Conditioning = v / values[0]
				rank++
			}
		}
	}
	// The joints of the tree hold exactly: their equations are independent.
	s.Freedom = l.unknowns - rank
	s.Rank = panelUnknowns*l.panels - s.Freedom
	total := l.equations
	for i := range l.tree {
		total += l.tree[i].equations()
	}
	s.Redundancy = total - s.Rank
	return s, true
}
