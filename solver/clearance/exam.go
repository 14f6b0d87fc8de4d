package clearance

import (
	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// Checks is a set of the checks an exam runs.
type Checks uint8

const (
	reachChecks Checks = 1 << iota
	shutChecks
	stripChecks
	singularChecks
	throughChecks
	openingChecks
	// Coarse leaves the ends of intervals at the openings looked at.
	Coarse

	// Everything is all of them.
	Everything = reachChecks | shutChecks | stripChecks | singularChecks | throughChecks | openingChecks
)

// ChecksFor are those that can find the code, and what they depend on. Codes
// that others find have none.
func ChecksFor(c finding.Code) Checks {
	switch c {
	case finding.OutsidePageWhenShut, finding.InsideMargin, finding.EndsMeet:
		return shutChecks
	case finding.CannotShut, finding.NotFlatWhenShut:
		return reachChecks | shutChecks
	case finding.TravelNotReached, finding.StripCollides, finding.AnchorOffPage:
		return reachChecks | shutChecks | stripChecks
	case finding.ThroughHost:
		return reachChecks | shutChecks | throughChecks
	case finding.CutOffHost:
		return openingChecks
	case finding.CannotOpenFully, finding.NearSingular:
		return Everything
	default:
		return 0
	}
}

// Exam is what was found in one design.
type Exam struct {
	// Findings come in the order of the mechanisms, then of the catalogue, and
	// without remedies.
	Findings []finding.Finding
	// A fault can hide others: what does not lie flat cannot be held against
	// the page edge, and what stands on a locked mechanism cannot be tried.
	// These tell which mechanisms were judged shut and fully open.
	ShutJudged, OpenJudged []bool
	// Stopped is that it was told to stop, and has not found all there is.
	Stopped bool
}

// Examine runs the wanted checks on the included mechanisms (nil: all), until stop,
// which may be nil, returns true.
func Examine(a *kinematics.Assembly, include []bool, wanted Checks, stop func() bool) *Exam {
	x := &exam{
		Assembly: a, d: a.Design, include: include, pose: a.NewPose(), coarse: wanted&Coarse != 0, stop: stop,
		Exam: &Exam{ShutJudged: make([]bool, len(a.Design.Mechanisms)), OpenJudged: make([]bool, len(a.Design.Mechanisms))},
	}
	if wanted&reachChecks != 0 {
		x.checkReach()
	}
	if wanted&shutChecks != 0 {
		x.checkShut()
		x.checkEnds()
	}
	if wanted&stripChecks != 0 {
		x.checkStrips()
	}
	if wanted&singularChecks != 0 {
		x.checkSingular()
	}
	if wanted&throughChecks != 0 {
		x.checkThrough()
	}
	if wanted&openingChecks != 0 {
		x.checkOpenings()
	}
	finding.Sort(x.Findings)
	return x.Exam
}

// CouldHide tells whether the exam was in no position to find g.
func (x *Exam) CouldHide(g *finding.Finding) bool {
	if g.Code == finding.CannotOpenFully {
		return !x.OpenJudged[g.Mechanism]
	}
	return !x.ShutJudged[g.Mechanism]
}

// exam is one run of the checks.
type exam struct {
	*kinematics.Assembly
	*Exam
	d       *design.Design
	include []bool
	pose    *kinematics.Pose
	coarse  bool
	stop    func() bool

	rate         *kinematics.Rate
	conditioning []kinematics.Conditioning
}

func (x *exam) includes(mechanism int) bool { return x.include == nil || x.include[mechanism] }

// halted asks whether to give up, as is done before every pose. Once told so it
// does not ask again.
func (x *exam) halted() bool {
	x.Stopped = x.Stopped || x.stop != nil && x.stop()
	return x.Stopped
}

func (x *exam) add(f finding.Finding) { x.Findings = append(x.Findings, f) }

// panelIDs names the panels of a mechanism.
func (x *exam) panelIDs(mechanism int) []string {
	var ids []string
	for i := range x.Panels {
		if x.Panels[i].Mechanism == mechanism {
			ids = append(ids, x.Panels[i].ID)
		}
	}
	return ids
}

// length is a length in mm as an amount in the document's units.
func (x *exam) length(mm float64) finding.Amount { return finding.Length(x.d, mm) }
