package finding

import "slices"

// What is found in the parts. Codes that a pattern has problems under are the same
// there.
const (
	NoRoomForTab      Code = "no_room_for_tab"
	NoRoomForLock     Code = "no_room_for_lock"
	TabTooSmall       Code = "tab_too_small"
	TabOffHost        Code = "tab_off_host"
	TabNotJoined      Code = "tab_not_joined"
	TabInsideFigure   Code = "tab_inside_figure"
	FigureOffPanel    Code = "figure_off_panel"
	FigureInPieces    Code = "figure_in_pieces"
	NecksMeet         Code = "necks_meet"
	SlotOffPanel      Code = "slot_off_panel"
	SlotNearEdge      Code = "slot_near_edge"
	WebTooThin        Code = "web_too_thin"
	TightBend         Code = "tight_bend"
	CutInGlue         Code = "cut_in_glue"
	OverCrease        Code = "over_crease"
	WindowOffDisc     Code = "window_off_disc"
	NoRoomForThumb    Code = "no_room_for_thumb"
	NoRoomForRunner   Code = "no_room_for_runner"
	GuideOffPanel     Code = "guide_off_panel"
	StripTooShort     Code = "strip_too_short"
	LocksInStroke     Code = "locks_in_stroke"
	FoldsBothWays     Code = "folds_both_ways"
	GrainAgainstScore Code = "grain_against_score"
	PartTooSmall      Code = "part_too_small"
	GlueOutOfReach    Code = "glue_out_of_reach"
)

// OfParts tells whether a code is about the flat parts.
func (c Code) OfParts() bool {
	return slices.ContainsFunc(partsCatalogue, func(i Info) bool { return i.Code == c })
}

// partsCatalogue is what is found in the flat parts and how they go together.
var partsCatalogue = []Info{
	{NoRoomForTab, Error, "There is no room for a tab",
		"Along this base line nothing can be glued: the edges and creases of the host, or the paper of the part itself, leave " +
			"no place for a tab. Move the mechanism, or turn its tabs to the other side."},
	{NoRoomForLock, Warning, "A tab is too small to lock in its slot",
		"The shoulders of a tab hold it in its slot when they are 1 mm or more, and its neck must be as long as both together. " +
			"This tab is shorter, or has no shoulders though it is not to be glued; it is made plain, to be glued. The amount is the " +
			"length that is missing, where that is why."},
	{TabTooSmall, Warning, "A glue tab is small",
		"A tab less than 5 mm deep holds badly and is hard to press (common practice: 8 to 15 mm deep, 5 at least), which is a " +
			"warning. One that is good but not as deep as asked, because the host or its own length leaves no room, is a note. The " +
			"amount is the depth that is missing."},
	{TabOffHost, Warning, "A tab hangs over what it is glued to",
		"Part of a tab lies past the edge of its host, or where the host is cut away, so it is seen from the other side and holds " +
			"nothing there. The amount is how far it reaches past."},
	{TabNotJoined, Error, "The tab of a figure is not joined to it",
		"A figure's tab hangs from the line v = 0 of its own frame. The outline must cover at least half the width of the tab " +
			"there, or the tab falls off."},
	{TabInsideFigure, Error, "A figure covers part of its own tab",
		"Below the line v = 0 of its own frame the figure lies over part of its tab. It may cover all of it with a web around, " +
			"and the tab is then cut out as a tongue; or none of it. The amount is the web."},
	{FigureOffPanel, Error, "A figure does not lie on its panel",
		"A glued figure is held where it lies on its panel. This one lies beside it, so nothing holds it."},
	{FigureInPieces, Error, "An outline falls into pieces",
		"Paper that does not hang together with the rest of an outline, or is surrounded by a hole, falls out when it is cut. " +
			"Only the largest piece is made."},
	{NecksMeet, Error, "Two figures pass a ridge at the same place",
		"Figures on opposite panels that reach past the ridge cross there, each through a slit of its own, so they need " +
			"different places along it. The amount is how far to move one of them."},
	{SlotOffPanel, Error, "A cut does not lie on its panel",
		"A slot, hole or window reaches past the edge of the panel it belongs to. The amount is how far, where it is known."},
	{SlotNearEdge, Warning, "A slot is near the crease at the edge of its panel",
		"Between a slot and a crease of its panel less paper is left than 2 mm or five times its thickness, whichever is more " +
			"(common practice for cutters): it tears when the tab is pushed through, and the crease does not fold there. What is " +
			"left to an edge of the paper is a web. The amount is the width that is missing."},
	{WebTooThin, Warning, "A web of paper is too thin",
		"Between two cuts, a cut and an edge, or in a neck of an outline, less paper is left than 2 mm or five times its thickness, whichever is more " +
			"(common practice for cutters; lasers do with 1 mm). The amount is the width that is missing."},
	{TightBend, Warning, "A cut bends too tightly",
		"A bend with a radius below 0.3 mm, about the offset of a drag blade (by blade sellers' tables), comes out as a corner. The " +
			"amount is what the radius lacks."},
	{CutInGlue, Warning, "A cut goes through a glued place",
		"A slot, hole or window takes away paper where something is glued: the tab shows through it, and glue comes out. Where it " +
			"is known the amount is how far the cut reaches in."},
	{OverCrease, Error, "Something lies across a crease",
		"A tab, disc, strip or figure across a crease keeps it from folding, or is torn off: never glue across a moving crease " +
			"(common practice). The amount is how far it reaches over, where it is known."},
	{WindowOffDisc, Warning, "A window shows past its disc",
		"The window of a wheel reaches past the rim of the disc behind it, so it is not filled at every turn. The amount is how far."},
	{NoRoomForThumb, Error, "Nothing can take hold of it",
		"A disc or strip neither stands out past the edge of its panel nor leaves room for a slot or notch for the thumb. The " +
			"amount is the length that is missing, where it is known."},
	{NoRoomForRunner, Error, "A slide cannot be joined to its strip",
		"The runner that joins a slide to the strip behind the panel needs a place that both cover. The slide covers none: draw it " +
			"over its own line v = 0."},
	{GuideOffPanel, Error, "A guide of a strip lies past its panel",
		"The band that holds a strip to its panel is not wholly on the panel, so the strip leaves its guide. The amount is how far " +
			"it reaches past."},
	{StripTooShort, Error, "A strip has no room for its guides and stops",
		"Between what a strip moves and its grip there must be room for a guide, a stop and the stroke. The amount is the length " +
			"that is missing."},
	{LocksInStroke, Error, "Crank and link lock before the stroke ends",
		"When crank and link of an arm come into one line the strip can go no further. The amount is how much of the stroke is " +
			"left then."},
	{FoldsBothWays, Note, "A fold goes past flat",
		"A fold that turns from one side of flat to the other wants a score on both faces of the paper; it is drawn the way it lies " +
			"when open. The amount is how far it goes the other way."},
	{GrainAgainstScore, Warning, "The grain runs across the main score",
		"Heavy paper cracks, or folds raggedly, when it is scored across its fibres. The main scores of a part are those between its " +
			"panels, else those of its tabs; the longer ones decide. It is a warning for paper above 200 g/m² or thicker than 0.25 mm, " +
			"and a note for lighter paper that is scored at all, above 150 g/m² (common practice; sources differ by purpose). The amount " +
			"is the angle between the grain and the longest such score."},
	{PartTooSmall, Note, "A part is too small to handle",
		"A part that fits into a square of 10 mm is hard to weed, fold and glue by hand (common practice: hold it with tweezers, or " +
			"leave it on its waste until it is glued). The amount is how much longer it should be."},
	{GlueOutOfReach, Warning, "A glued place is out of reach",
		"In no order of gluing does a finger get to this joint: before the ring it closes is shut nothing holds it, and after that " +
			"no straight way as wide and thick as a finger leads to it, nor can it be pressed by shutting the page, as a tab on the " +
			"face of its host can. Glue it on the face of the host, or make more room. It is a note where a large design was not " +
			"looked at to the end."},
}
