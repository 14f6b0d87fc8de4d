package clearance

import (
	"fmt"
	"math"
	"slices"

	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

const (
	// leastTransmission is the angle short of a lock below which a mechanism
	// binds or snaps rather than moves. Common practice with machines is 30 to
	// 40 degrees at least, from memory. In paper it is what gluing can take: half a
	// millimetre (common practice) brings a tent with base lines 40 mm from the
	// fold from 30 degrees short of its lock to 24, but one at 10 past it.
	leastTransmission = math.Pi / 6
	// fastestFold is the change of a fold's angle for each degree of opening
	// above which it snaps: a hand opens a book to a degree, and five degrees
	// are seen as a jump. Sound mechanisms stay below two.
	fastestFold = 5
	// workingFrom is the opening from which mechanisms are looked at. Shut is
	// singular for all that lies flat, with a transmission angle in proportion
	// to the opening; up to here the creases and the weight of the page decide,
	// and readers pass quickly.
	workingFrom = math.Pi / 9
	// workingStep is the spacing of the openings looked at: transmission angles
	// change smoothly and by about as much as the opening.
	workingStep = math.Pi / 90
	// strokeSteps is how many positions of a hand driver are looked at.
	strokeSteps = 40
)

// tightness is how near to a lock one mechanism comes.
type tightness struct {
	least    float64 // angle to the lock
	fastest  float64 // change of a fold for that of the opening
	first    int     // opening looked at
	last     int
	at       finding.Interval
	held     bool // anything was found
	notTried bool // locked itself, or on something that is
}

// checkSingular looks for mechanisms that come close to a lock they do not reach
// while the book is open. Those that do reach one are reported as such, and what
// stands on a mechanism at fault is not reported again. Positions that a
// mechanism is made to come to, folded when shut and flush when flat, are no
// locks.
func (x *exam) checkSingular() {
	opensTo := float64(x.d.Spread.OpensTo)
	if opensTo <= workingFrom {
		return
	}
	tight := make([]tightness, len(x.d.Mechanisms))
	for i := range tight {
		tight[i] = tightness{least: math.Inf(1), notTried: !x.includes(i) || x.isAtFault(i)}
	}
	steps := int(math.Ceil((opensTo - workingFrom) / workingStep))
	x.rate, x.conditioning = x.NewRate(), make([]kinematics.Conditioning, len(x.d.Mechanisms))
	at := func(k int) float64 { return workingFrom + (opensTo-workingFrom)*float64(k)/float64(steps) }
	for k := 0; k <= steps && !x.halted(); k++ {
		x.conditionAt(at(k))
		for i := range tight {
			tight[i].take(&x.conditioning[i], x.pose.Reach[i], k)
		}
	}
	for i := range tight {
		if t := &tight[i]; t.held && !t.notTried {
			t.at = finding.Interval{From: geom.Angle(at(t.first)), To: geom.Angle(at(t.last))}
			if t.first > 0 {
				t.at.From = x.edgeOfTightness(i, at(t.first), at(t.first-1))
			}
			if t.last < steps {
				t.at.To = x.edgeOfTightness(i, at(t.last), at(t.last+1))
			}
		}
	}
	x.workDrivers(tight)
	for _, i := range x.d.Order() {
		t := &tight[i]
		for _, host := range x.d.HostsOf(i) {
			t.notTried = t.notTried || tight[host].held || tight[host].notTried
		}
		if t.held && !t.notTried {
			x.addNearSingular(i, t)
		}
	}
}

func (x *exam) conditionAt(opening float64) {
	x.poseAt(opening)
	x.ConditioningInto(x.conditioning, x.rate, x.pose)
}

// edgeOfTightness finds where between two openings mechanism i stops being near
// its lock.
func (x *exam) edgeOfTightness(i int, tight, loose float64) geom.Angle {
	for !x.coarse && math.Abs(tight-loose) > reachResolution && !x.halted() {
		mid := (tight + loose) / 2
		x.conditionAt(mid)
		if isTight(&x.conditioning[i]) {
			tight = mid
		} else {
			loose = mid
		}
	}
	return geom.Angle(tight)
}

// isAtFault is whether the mechanism reaches a lock, or does not shut flat.
func (x *exam) isAtFault(i int) bool {
	return slices.ContainsFunc(x.Findings, func(f finding.Finding) bool {
		return f.Mechanism == i && (f.Code == finding.CannotShut || f.Code == finding.NotFlatWhenShut || f.Code == finding.CannotOpenFully)
	})
}

// margin is the angle to the nearest lock; infinite where there is none.
func margin(c *kinematics.Conditioning) float64 {
	if !c.CanLock {
		return math.Inf(1)
	}
	return float64(c.Margin)
}

func isTight(c *kinematics.Conditioning) bool {
	return margin(c) < leastTransmission || c.Amplification > fastestFold
}

func (t *tightness) take(c *kinematics.Conditioning, reach kinematics.Reach, k int) {
	if reach != kinematics.Reached {
		t.notTried = true
		return
	}
	if !isTight(c) {
		return
	}
	if !t.held {
		t.first = k
	}
	t.held, t.last = true, k
	t.least, t.fastest = min(t.least, margin(c)), max(t.fastest, c.Amplification)
}

// workDrivers takes every hand driver from one stop to the other with the spread
// open. A mechanism that binds on the way is as near to its lock as can be.
func (x *exam) workDrivers(tight []tightness) {
	for n, driver := range x.Drivers {
		if !x.includes(driver.Mechanism) {
			continue
		}
		t := &tight[driver.Mechanism]
		drive := kinematics.Drive{Opening: x.d.Spread.OpensTo, Hand: x.Rest()}
		for k := 0; k <= strokeSteps && !x.halted(); k++ {
			drive.Hand[n] = driver.Min + (driver.Max-driver.Min)*float64(k)/strokeSteps
			x.PoseInto(x.pose, drive)
			x.TransmissionInto(x.conditioning, x.pose)
			c, reach := &x.conditioning[driver.Mechanism], x.pose.Reach[driver.Mechanism]
			left := math.Inf(1)
			switch reach {
			case kinematics.LockedOpen, kinematics.LockedShut:
				left = 0
			case kinematics.Reached:
				left = margin(c)
			}
			if left < leastTransmission {
				t.held, t.at = true, finding.Interval{From: 0, To: x.d.Spread.OpensTo}
				t.least = min(t.least, left)
			}
		}
	}
}

func (x *exam) addNearSingular(i int, t *tightness) {
	m := &x.d.Mechanisms[i]
	amount := finding.Angle(geom.Angle(t.least))
	where := fmt.Sprintf("between %s and %s", degrees(float64(t.at.From)), degrees(float64(t.at.To)))
	var message string
	switch {
	case t.least >= leastTransmission:
		amount = finding.Amount{Value: t.fastest, Unit: "deg"}
		message = fmt.Sprintf("%s snaps %s: a fold turns by %s for each degree of opening.", m.ID, where, amount)
	case t.least == 0:
		message = fmt.Sprintf("%s binds before the end of its stroke.", m.ID)
	case len(x.driversOf(i)) > 0:
		message = fmt.Sprintf("%s comes within %s of binding on its stroke.", m.ID, amount)
	default:
		message = fmt.Sprintf("%s comes within %s of its lock %s, where it binds or snaps.", m.ID, amount, where)
	}
	x.add(finding.Finding{
		Code: finding.NearSingular, Severity: finding.Warning, Mechanism: i,
		Message: message, At: t.at, Amount: amount,
		Where: finding.Where{Panels: x.panelIDs(i)},
	})
}

func (x *exam) driversOf(i int) []kinematics.Driver {
	return slices.DeleteFunc(slices.Clone(x.Drivers), func(d kinematics.Driver) bool { return d.Mechanism != i })
}
