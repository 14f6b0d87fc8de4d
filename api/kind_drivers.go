package api

import "foldwright/solver/design"

// kindDrivers says of each kind that is worked by hand what the hand moves. The
// names and units are those of its spec; a test holds them together.
var kindDrivers = map[design.Kind][]KindDriver{
	"flap": {{Name: "angle", Unit: KindDriverUnitDeg, Range: "0 to opens_to",
		Description: "How far the flap is lifted: 0 lying on its panel, at rest; 180 turned over."}},
	"pivot_arm": {{Name: "pull", Unit: KindDriverUnitMm, Range: "0 to stroke",
		Description: "How far the strip is pulled; the arm swings with it. At rest at 0."}},
	"pull_tab": {{Name: "pull", Unit: KindDriverUnitMm, Range: "0 to stroke",
		Description: "How far the strip is pulled: a slide moves as far, a tent rises. At rest at 0."}},
	"wheel": {{Name: "turn", Unit: KindDriverUnitDeg, Range: "0 to 360",
		Description: "How far the disc is turned, from u towards v. At rest at 0."}},
}
