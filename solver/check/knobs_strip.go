package check

import (
	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// calmAnchor is how far out the anchor of a strip is put, as a fraction k of its
// gap x0. A tent with panels of n then begins to rise as √(2k/(1-k)·x0·n) times
// the sine of half the opening, and the other page is 2·(x0+n) of it away, at
// least 4·√(x0·n): they stay apart for k below 8/9.
const calmAnchor = 0.8

func stripKnobs(d *design.Design, f *finding.Finding) []knob {
	i := f.Mechanism
	less := knob{turns: fields(i, -1, "travel"), verb: "Reduce"}
	switch f.Code {
	case finding.TravelNotReached:
		list := []knob{{turns: fields(i, 1, "fixed_offset"), verb: "Increase"}, less}
		if tent, ok := d.Mechanisms[i].Spec.(*design.SlideTent); ok {
			// A strip that passes its gap about as far out as its anchor draws
			// with a jerk, and the tent meets the other page.
			clear := 2 * calmAnchor * tent.FixedOffset / d.Units.PerUnit()
			list = append(list, setAll(turn{pointer: design.Point(i, "travel"), value: clear}))
		}
		return list
	case finding.StripCollides:
		return []knob{{turns: fields(i, 1, "near_width"), verb: "Widen"}, less}
	}
	list := append([]knob{less}, moveKnobs(d, i)...)
	for _, names := range [][]string{{"page_width"}, {"page_height"}, {"page_width", "page_height"}} {
		list = append(list, knob{turns: spread(1, names...), verb: "Enlarge"})
	}
	return list
}
