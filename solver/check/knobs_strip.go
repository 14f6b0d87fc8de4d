package check

import (
	"foldwright/solver/design"
	"foldwright/solver/finding"
)

func stripKnobs(d *design.Design, f *finding.Finding) []knob {
	i := f.Mechanism
	less := knob{turns: fields(i, -1, "travel"), verb: "Reduce"}
	switch f.Code {
	case finding.TravelNotReached:
		return []knob{{turns: fields(i, 1, "fixed_offset"), verb: "Increase"}, less}
	case finding.StripCollides:
		return []knob{{turns: fields(i, 1, "near_width"), verb: "Widen"}, less}
	}
	list := append([]knob{less}, moveKnobs(d, i)...)
	for _, names := range [][]string{{"page_width"}, {"page_height"}, {"page_width", "page_height"}} {
		list = append(list, knob{turns: spread(1, names...), verb: "Enlarge"})
	}
	return list
}
