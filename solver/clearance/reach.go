package clearance

import (
	"fmt"
	"math"

	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// reachStep is the spacing of the openings first looked at. Reach ends
	// where a smooth function of the opening changes sign, so a degree finds
	// the ends of every range that is of use to a reader.
	reachStep = math.Pi / 180
	// reachResolution is how finely the end of a range is then found: a
	// thousandth of a degree, beyond anything that can be seen.
	reachResolution = math.Pi / 180e3
)

// checkReach finds the openings each mechanism cannot follow. What stands on a
// locked mechanism is not reported again.
func (x *exam) checkReach() {
	opensTo := float64(x.d.Spread.OpensTo)
	steps := int(math.Ceil(opensTo / reachStep))
	locks := make([][]lock, len(x.d.Mechanisms)) // where each is locked itself
	for k := 0; k <= steps && !x.halted(); k++ {
		x.poseAt(sample(k, steps, opensTo))
		for i, reach := range x.pose.Reach {
			if !x.includes(i) {
				continue
			}
			x.OpenJudged[i] = reach != kinematics.HostLocked
			if reach != kinematics.Reached && reach != kinematics.HostLocked {
				locks[i] = append(locks[i], lock{k, reach})
			}
		}
	}
	at := func(k int) float64 { return sample(k, steps, opensTo) }
	for i, locked := range locks {
		held := false // by its sides, which are told of once
		for len(locked) > 0 && !x.halted() {
			first, run := locked[0], 1
			for run < len(locked) && locked[run].at == first.at+run {
				run++
			}
			from := at(first.at)
			if first.at > 0 {
				from = x.boundary(i, at(first.at-1), from)
			}
			passes := first.reach == kinematics.LockedShut && first.at+run <= steps
			if first.at > 0 && !passes {
				x.addCannotOpen(i, from, opensTo)
				break
			}
			if !held {
				until := opensTo
				if end := first.at + run; end <= steps {
					until = x.boundary(i, at(end-1), at(end))
				}
				x.addCannotShut(i, first.reach, from, until)
			}
			held, locked = true, locked[run:]
		}
	}
}

// lock is an opening, by its number, that a mechanism cannot follow.
type lock struct {
	at    int
	reach kinematics.Reach
}

func sample(k, steps int, opensTo float64) float64 { return opensTo * float64(k) / float64(steps) }

func (x *exam) poseAt(opening float64) {
	x.PoseInto(x.pose, kinematics.Drive{Opening: geom.Angle(opening)})
}

// boundary finds where mechanism i changes between reached and locked.
func (x *exam) boundary(i int, lo, hi float64) float64 {
	if x.coarse {
		return hi
	}
	reachedAt := func(opening float64) bool {
		x.poseAt(opening)
		return x.pose.Reach[i] == kinematics.Reached
	}
	before := reachedAt(lo)
	for hi-lo > reachResolution && !x.halted() {
		if mid := (lo + hi) / 2; reachedAt(mid) == before {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// addCannotShut tells of the openings from shut on that mechanism i cannot
// follow; or of those on the way at which its sides keep the fold it stands on
// from closing, where that closes again before the book is open.
func (x *exam) addCannotShut(i int, reach kinematics.Reach, from, until float64) {
	m := &x.d.Mechanisms[i]
	amount := x.mismatch(i)
	reason := "its panels differ by more than its base lines do"
	if reach != kinematics.LockedShut || amount.Value == 0 {
		reason = "its panels are pulled tight"
		amount = finding.Angle(geom.Angle(until))
	}
	message := fmt.Sprintf("%s holds the pages open: below %s %s, by %s.", m.ID, degrees(until), reason, amount)
	switch {
	case from > 0:
		message = fmt.Sprintf("%s keeps what it stands on from closing between %s and %s: %s, by %s.", m.ID, degrees(from), degrees(until), reason, amount)
	case until == float64(x.d.Spread.OpensTo):
		message = fmt.Sprintf("%s cannot be assembled at any opening: %s, by %s.", m.ID, reason, amount)
	}
	severity := finding.Error
	if amount.Value > 0 && Arc(x.d, i, amount) <= paperGives {
		severity = finding.Note
	}
	x.add(finding.Finding{
		Code: finding.CannotShut, Severity: severity, Mechanism: i,
		Message: message,
		At:      finding.Interval{From: geom.Angle(from), To: geom.Angle(until)},
		Amount:  amount,
		Where:   finding.Where{Panels: x.panelIDs(i)},
	})
}

func (x *exam) addCannotOpen(i int, from, opensTo float64) {
	m := &x.d.Mechanisms[i]
	amount := finding.Angle(geom.Angle(opensTo - from))
	x.add(finding.Finding{
		Code: finding.CannotOpenFully, Severity: finding.Error, Mechanism: i,
		Message: fmt.Sprintf("%s pulls tight at %s, %s short of the %s the spread should open to.",
			m.ID, degrees(from), amount, degrees(opensTo)),
		At:     finding.Interval{From: geom.Angle(from), To: geom.Angle(opensTo)},
		Amount: amount,
		Where:  finding.Where{Panels: x.panelIDs(i)},
	})
}

func degrees(a float64) string { return finding.Angle(geom.Angle(a)).String() }
