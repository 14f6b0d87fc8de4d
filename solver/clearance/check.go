package clearance

import (
	"slices"
	"sort"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// Check judges the whole design and seeks a remedy for each finding.
func Check(a *kinematics.Assembly) []Finding {
	return CheckUntil(a, func() bool { return false })
}

// CheckUntil is Check with a stop: once it returns true no more remedies are
// sought, and the findings that remain go without.
func CheckUntil(a *kinematics.Assembly, stop func() bool) []Finding {
	x := examine(a, nil, everything)
	effort := &effort{left: allEffort, stop: stop}
	for i := range x.findings {
		x.seekRemedy(&x.findings[i], effort)
	}
	return x.findings
}

// checks is a set of the checks an exam runs.
type checks uint8

const (
	reachChecks checks = 1 << iota
	shutChecks
	stripChecks
	singularChecks
	throughChecks
	openingChecks
	// coarse leaves the ends of intervals at the openings looked at.
	coarse

	everything = reachChecks | shutChecks | stripChecks | singularChecks | throughChecks | openingChecks
)

// checks are those that can find the code, and what they depend on.
func (c Code) checks() checks {
	switch c {
	case OutsidePageWhenShut, InsideMargin, EndsMeet:
		return shutChecks
	case CannotShut, NotFlatWhenShut:
		return reachChecks | shutChecks
	case TravelNotReached, StripCollides, AnchorOffPage:
		return reachChecks | shutChecks | stripChecks
	case ThroughHost:
		return reachChecks | shutChecks | throughChecks
	case CutOffHost:
		return openingChecks
	default:
		return everything
	}
}

// examine runs the wanted checks on the included mechanisms (nil: all), without
// remedies. Findings come in the order of the mechanisms, then of the
// catalogue.
func examine(a *kinematics.Assembly, include []bool, wanted checks) *exam {
	x := &exam{
		Assembly: a, d: a.Design, include: include, pose: a.NewPose(), coarse: wanted&coarse != 0,
		shutJudged: make([]bool, len(a.Design.Mechanisms)),
		openJudged: make([]bool, len(a.Design.Mechanisms)),
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
	sort.SliceStable(x.findings, func(i, j int) bool {
		f, g := &x.findings[i], &x.findings[j]
		if f.mechanism != g.mechanism {
			return f.mechanism < g.mechanism
		}
		return rank(f.Code) < rank(g.Code)
	})
	return x
}

// rank is a code's place in the catalogue.
func rank(c Code) int {
	return slices.IndexFunc(catalogue, func(i Info) bool { return i.Code == c })
}

// exam is one run of the checks.
type exam struct {
	*kinematics.Assembly
	d        *design.Design
	include  []bool
	pose     *kinematics.Pose
	coarse   bool
	findings []Finding

	rate         *kinematics.Rate
	conditioning []kinematics.Conditioning

	// A fault can hide others: what does not lie flat cannot be held against
	// the page edge, and what stands on a locked mechanism cannot be tried.
	// These tell which mechanisms were judged shut and fully open.
	shutJudged, openJudged []bool
}

func (x *exam) includes(mechanism int) bool { return x.include == nil || x.include[mechanism] }

func (x *exam) add(f Finding) { x.findings = append(x.findings, f) }

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

// lengthAmount is a length in mm as an amount in the document's units.
func (x *exam) lengthAmount(mm float64) Amount {
	return Amount{mm / x.d.Units.PerUnit(), string(x.d.Units)}
}
