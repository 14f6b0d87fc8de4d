package finding

import (
	"slices"
	"sort"
)

// Code names a kind of finding.
type Code string

const (
	CannotShut          Code = "cannot_shut"
	NotFlatWhenShut     Code = "not_flat_when_shut"
	CannotOpenFully     Code = "cannot_open_fully"
	OutsidePageWhenShut Code = "outside_page_when_shut"
	InsideMargin        Code = "inside_margin"
	EndsMeet            Code = "ends_meet"
	TravelNotReached    Code = "travel_not_reached"
	StripCollides       Code = "strip_collides"
	AnchorOffPage       Code = "anchor_off_page"
	NearSingular        Code = "near_singular"
	ThroughHost         Code = "through_host"
	CutOffHost          Code = "cut_off_host"
	PanelsCollide       Code = "panels_collide"
	ClearanceUndecided  Code = "clearance_undecided"
	LayersTrapped       Code = "layers_trapped"
	GluedTwice          Code = "glued_twice"
	StackUndecided      Code = "stack_undecided"
	StackTooThick       Code = "stack_too_thick"
	ThicknessMatters    Code = "thickness_matters"
)

// Info explains a code.
type Info struct {
	Code        Code
	Severity    Severity // the gravest it is given
	Title       string
	Explanation string
}

// catalogue is every code, in the order findings are listed.
var catalogue = slices.Concat(motionCatalogue, partsCatalogue)

// motionCatalogue is what is found in how the design moves and shuts.
var motionCatalogue = []Info{
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
	{EndsMeet, Error, "The end walls of a box meet inside it",
		"End walls that fold in lie between the side walls when the pages are shut. When the box is shorter than the " +
			"two of them together they run into each other first. Make it longer or narrower, or let its ends fold out. " +
			"The amount is how far they overlap."},
	{TravelNotReached, Error, "The strip cannot draw as far as asked",
		"A strip that passes the glued edge at one distance from the gutter and is anchored at another draws at most " +
			"twice the smaller of the two from shut to flat open. The amount is the travel that is missing."},
	{StripCollides, Error, "The strip runs into its mechanism",
		"A strip that is not guided runs straight from the sliding edge to its anchor. Where it rises steeper than the " +
			"tent it lifts the far panel and passes over the ridge. The amount is how far up past the ridge it would meet " +
			"the near panel."},
	{AnchorOffPage, Error, "The strip is anchored off the page",
		"The strip is glued to the other page from the anchor line outwards, as deep as the joint's tab. That area " +
			"reaches past the edge of the page. The amount is the largest overhang."},
	{NearSingular, Warning, "The mechanism comes close to a lock",
		"Links that come near to one line pass little of the force on: the mechanism binds, snaps from one side to the " +
			"other, or tears when it is glued half a millimetre off. The transmission angle tells how near: of two panels " +
			"it is the angle at their ridge, short of stretched or folded. Machines keep 30 to 40 degrees (from memory); less " +
			"than 30 is reported, or a fold that turns more than five degrees for each degree of opening. Shut, and flush " +
			"with the open page, are meant and do not count. The amount is the least transmission angle, or the turn of the " +
			"fold."},
	{ThroughHost, Error, "A panel passes through what it stands on",
		"The angle between a panel and the host outside it goes past a half turn, so the panel would have to be behind " +
			"its host. It happens when base lines slant too far for the panels on them. The amount is how far past a half turn it goes."},
	{CutOffHost, Error, "A cut runs off its host",
		"A mechanism cut from its host reaches past the edge of the panel, or into what another mechanism has cut away, so " +
			"the sheet would fall apart there. The amount is how far past the edge it reaches."},
	{PanelsCollide, Error, "Pieces pass through each other",
		"Somewhere in the motion two pieces of paper would have to be in one place. The whole range of the opening, and of " +
			"everything moved by hand with the spread fully open, is proved clear or searched for the first contact: between " +
			"the openings looked at the motion is bounded, so that no contact is missed however short. Pieces that touch along " +
			"a crease or in a shared point, and layers in one plane, are no contact. Where it is less than 0.1 mm deep paper " +
			"bends aside, and it is a note. The amount is the greatest depth: how far one piece would have to be moved to come " +
			"clear of the other."},
	{ClearanceUndecided, Warning, "It is not proved that pieces clear each other",
		"Two pieces come so close, or touch without need, that neither a contact was found nor the lack of one proved. " +
			"Nothing passes through anything where it was looked at. Give them a little more room, or fold a dummy."},
	{LayersTrapped, Error, "Layers would have to pass through each other",
		"With the pages shut every piece lies above or below the pieces it overlaps, as the motion brings them there. Here a " +
			"piece would be above another on one side of a line and below it on the other, or between two layers of one paper " +
			"where these are joined, so they run into each other before the pages meet. The amount is how far the piece " +
			"reaches past the other; it is zero for a piece caught in a crease."},
	{GluedTwice, Error, "Two mechanisms are glued to one place",
		"Two tabs, or a tab and a figure, are glued to the same face of the same panel and overlap, so one is glued on top " +
			"of the other. Two tabs lift each other off and do not stand where they are drawn, which is an error; a figure over " +
			"a tab can be glued to it, which is a warning. Mechanisms that are alike and in one place are found by this too. The " +
			"amount is the area they share."},
	{StackUndecided, Warning, "The order of the layers was not found",
		"Pieces that move alike can lie on each other in several ways, and in each of those tried something passes through " +
			"a crease, or there are too many overlaps to look at all. Whether there is a way is hard to decide in general " +
			"(Bern and Hayes, The complexity of flat origami, 1996), so the search gives up after a while. Fold a dummy."},
	{StackTooThick, Error, "The shut spread is too thick",
		"The thickest place of the shut spread, pages included, exceeds the most the design allows in max_shut_thickness. " +
			"Thickness is the layers of paper times their caliper and springback, and a film for every glued area: common " +
			"practice, settable in the design's paper. The amount is the excess."},
	{ThicknessMatters, Note, "The stack holds the pages apart",
		"What lies between the shut pages is thicker than 3 mm. A single score in the gutter cannot take that in: the pages " +
			"gape at the fore edge or the gutter tears. Give the gutter two scores as far apart as the stack is thick (common " +
			"practice: a spine is as wide as the thickest shut stack). The amount is the thickness between the pages."},
}

// Catalogue lists every code with its explanation.
func Catalogue() []Info { return catalogue }

// Info is the code's entry in the catalogue; the zero Info for a code that is not
// in it.
func (c Code) Info() Info {
	if i := c.Rank(); i >= 0 {
		return catalogue[i]
	}
	return Info{}
}

// Rank is the code's place in the catalogue.
func (c Code) Rank() int {
	return slices.IndexFunc(catalogue, func(i Info) bool { return i.Code == c })
}

// Sort puts findings in the order of the mechanisms, then of the catalogue.
func Sort(list []Finding) {
	sort.SliceStable(list, func(i, j int) bool {
		if list[i].Mechanism != list[j].Mechanism {
			return list[i].Mechanism < list[j].Mechanism
		}
		return list[i].Code.Rank() < list[j].Code.Rank()
	})
}
