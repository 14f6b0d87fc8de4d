package pattern

// Code names what keeps a pattern from being made as designed.
type Code string

const (
	// CodeNoTab: a base line has no room for a tab.
	CodeNoTab Code = "no_room_for_tab"
	// CodeTabNotJoined: a figure's tab hangs beside the figure.
	CodeTabNotJoined Code = "tab_not_joined"
	// CodeTabInFigure: a figure covers part of its own tab.
	CodeTabInFigure Code = "tab_inside_figure"
	// CodeSlotOffPanel: a slot is not wholly on the panel it belongs to.
	CodeSlotOffPanel Code = "slot_off_panel"
	// CodeOffPanel: a figure does not touch the panel it is glued to.
	CodeOffPanel Code = "figure_off_panel"
	// CodePieces: an outline falls into several pieces.
	CodePieces Code = "figure_in_pieces"
)

// Codes lists every code a Problem can carry.
func Codes() []Code {
	return []Code{CodeNoTab, CodeTabNotJoined, CodeTabInFigure, CodeSlotOffPanel, CodeOffPanel, CodePieces}
}

// Problem is one thing that could not be made as designed. The pattern is made
// without it.
type Problem struct {
	Code      Code
	Mechanism int    // index in the design
	Pointer   string // JSON pointer of the field to change
	Detail    string
}
