package clearance

// Code names a kind of finding.
type Code string

const (
	CannotShut          Code = "cannot_shut"
	NotFlatWhenShut     Code = "not_flat_when_shut"
	CannotOpenFully     Code = "cannot_open_fully"
	OutsidePageWhenShut Code = "outside_page_when_shut"
	InsideMargin        Code = "inside_margin"
)

// Info explains a code.
type Info struct {
	Code        Code
	Severity    Severity // the gravest it is given
	Title       string
	Explanation string
}

// catalogue is every code, in the order findings are listed.
var catalogue = []Info{
	{CannotShut, Error, "The pages cannot shut",
		"The two panels of the mechanism differ by more than their base lines do, so they pull tight before the " +
			"pages meet. A V-fold shuts when base angle plus panel angle is the same on both sides (or base angle less " +
			"panel angle, for one that leans toward); a parallel fold when base offset plus panel width is."},
	{NotFlatWhenShut, Error, "The mechanism does not lie flat when shut",
		"The pages can meet, but the panels still stand out of the plane of the page and their paper is trapped and " +
			"crushed. The amount is how far the two sides are from matching."},
	{CannotOpenFully, Error, "The spread cannot open fully",
		"The panels are stretched tight before the spread is as open as it should be: the base lines move further " +
			"apart than the two panels can span. The amount is the opening that is missing."},
	{OutsidePageWhenShut, Error, "The mechanism sticks out of the shut page",
		"With the pages shut, a panel or figure reaches past the edge of the page. The amount is the largest overhang."},
	{InsideMargin, Warning, "The mechanism comes close to the page edge when shut",
		"With the pages shut, a panel or figure lies within the margin along the edge of the page, where it is easily " +
			"seen or caught. The amount is how far into the margin it reaches. A set-back of 3 to 6 mm is common practice."},
}

// Catalogue lists every code with its explanation.
func Catalogue() []Info { return catalogue }
