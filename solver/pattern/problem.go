package pattern

// Code names what keeps a pattern from being made as designed.
type Code string

const (
	// CodeNoTab: a base line has no room for a tab.
	CodeNoTab Code = "no_room_for_tab"
	// CodeNoLock: a tab is too short for shoulders that hold.
	CodeNoLock Code = "no_room_for_lock"
	// CodeTabNotJoined: a figure's tab hangs beside the figure.
	CodeTabNotJoined Code = "tab_not_joined"
	// CodeTabInFigure: a figure covers part of its own tab.
	CodeTabInFigure Code = "tab_inside_figure"
	// CodeSlotOffPanel: a slot, hole or window is not wholly on the panel it
	// belongs to.
	CodeSlotOffPanel Code = "slot_off_panel"
	// CodeOffPanel: a figure does not touch the panel it is glued to.
	CodeOffPanel Code = "figure_off_panel"
	// CodePieces: an outline or window falls into several pieces.
	CodePieces Code = "figure_in_pieces"
	// CodeNarrowWeb: too little paper is left between two cuts, or a cut and an
	// edge.
	CodeNarrowWeb Code = "web_too_thin"
	// CodeCutInGlue: a cut takes the paper from where something is glued.
	CodeCutInGlue Code = "cut_in_glue"
	// CodeWindowOffDisc: a window shows more than the disc behind it covers.
	CodeWindowOffDisc Code = "window_off_disc"
	// CodeOverCrease: what lies behind or on a panel runs over a crease of it.
	CodeOverCrease Code = "over_crease"
	// CodeNoThumb: nothing can take hold of a disc or a strip.
	CodeNoThumb Code = "no_room_for_thumb"
	// CodeNoRunner: a slide does not cover a place where its strip can hold it.
	CodeNoRunner Code = "no_room_for_runner"
	// CodeNoGuide: a guide of a strip is not wholly on the panel.
	CodeNoGuide Code = "guide_off_panel"
	// CodeStripShort: a strip has no room for its guides and stops.
	CodeStripShort Code = "strip_too_short"
	// CodeLocks: crank and link lie in one line before the end of the stroke.
	CodeLocks Code = "locks_in_stroke"
	// CodeNecksMeet: two figures pass a ridge at the same place.
	CodeNecksMeet Code = "necks_meet"
	// CodeBothWays: a fold passes flat, so no one score suits it.
	CodeBothWays Code = "folds_both_ways"
	// CodeTightBend: a cut bends more tightly than a blade follows.
	CodeTightBend Code = "tight_bend"
	// CodeGapClosed: a gap in an outline is narrower than the kerf.
	CodeGapClosed Code = "gap_closed"
	// CodeHoleLost: a hole or slot is narrower than the kerf.
	CodeHoleLost Code = "hole_lost"
	// CodeHoleSplit: a hole has a neck narrower than the kerf.
	CodeHoleSplit Code = "hole_split"
)

// Codes lists every code a Problem can carry.
func Codes() []Code {
	return []Code{
		CodeNoTab, CodeNoLock, CodeTabNotJoined, CodeTabInFigure, CodeSlotOffPanel, CodeOffPanel, CodePieces,
		CodeNarrowWeb, CodeCutInGlue, CodeWindowOffDisc, CodeOverCrease, CodeNoThumb, CodeNoRunner, CodeNoGuide,
		CodeStripShort, CodeLocks, CodeNecksMeet, CodeBothWays, CodeTightBend, CodeGapClosed, CodeHoleLost, CodeHoleSplit,
	}
}

// Problem is one thing that could not be made as designed. The pattern is made
// without it.
type Problem struct {
	Code      Code
	Mechanism int    // index in the design, or kinematics.Spread
	Pointer   string // JSON pointer of the field to change
	Detail    string
	Amount    Amount // how far it is from being cured, where that is known
}

// Amount is a length in the design's units, or an angle in "deg". The zero
// Amount, which has no unit, is of problems without a number.
type Amount struct {
	Value float64
	Unit  string
}
