package clearance

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// throughStep is the spacing of the openings looked at: base folds turn by
	// a few degrees for each degree of opening at most.
	throughStep = math.Pi / 90
	// throughSlack is how far past a half turn, or short of a whole one, a base
	// fold may seem to be by rounding when its panel lies on its host.
	throughSlack = math.Pi / 720
)

// checkThrough looks for panels that turn through the host they are joined to.
// Which way a linkage stands is for its maker to say, so linkages are left out.
func (x *exam) checkThrough() {
	opensTo := float64(x.d.Spread.OpensTo)
	steps := int(math.Ceil(opensTo / throughStep))
	type passage struct {
		past   float64
		fold   int
		at     finding.Interval
		passes bool
	}
	found := make([]passage, len(x.d.Mechanisms))
	for k := 0; k <= steps && !x.halted(); k++ {
		opening := sample(k, steps, opensTo)
		x.poseAt(opening)
		for n := range x.Folds {
			f := &x.Folds[n]
			if f.Role != kinematics.BaseFold || !x.includes(f.Mechanism) || !x.pose.HasFold(n) || x.isLinkage(f.Mechanism) {
				continue
			}
			turn := float64(x.pose.FoldAngle(n))
			if turn < math.Pi+throughSlack || turn > 2*math.Pi-throughSlack {
				continue
			}
			p := &found[f.Mechanism]
			if !p.passes {
				p.at.From = geom.Angle(opening)
			}
			p.at.To, p.passes = geom.Angle(opening), true
			if turn-math.Pi > p.past {
				p.past, p.fold = turn-math.Pi, n
			}
		}
	}
	// A mechanism that does not shut passes through its host on that account,
	// and what stands on one at fault follows it.
	blamed := make([]bool, len(found))
	for _, i := range x.d.Order() {
		p := &found[i]
		onBlamed := slices.ContainsFunc(x.d.HostsOf(i), func(host int) bool { return blamed[host] })
		blamed[i] = p.passes || x.isAtFault(i) || onBlamed
		if p.passes && !x.isAtFault(i) && !onBlamed {
			f := &x.Folds[p.fold]
			amount := finding.Angle(geom.Angle(p.past))
			x.add(finding.Finding{
				Code: finding.ThroughHost, Severity: finding.Error, Mechanism: i,
				Message: fmt.Sprintf("%s passes through %s between %s and %s, by up to %s past its base line.",
					x.Panels[f.Panels[1]].ID, x.Panels[f.Panels[0]].ID, degrees(float64(p.at.From)), degrees(float64(p.at.To)), amount),
				At: p.at, Amount: amount,
				Where: finding.Where{Panels: []string{x.Panels[f.Panels[1]].ID, x.Panels[f.Panels[0]].ID}},
			})
		}
	}
}

func (x *exam) isLinkage(mechanism int) bool {
	_, linkage := x.d.Mechanisms[mechanism].Spec.(*design.Linkage)
	return linkage
}
