package check

import "foldwright/solver/design"

func endsKnobs(d *design.Design, i int) []knob {
	offsets := given(d, i, -1, "left_offset", "right_offset")
	longer := fields(i, 1, "to")
	return []knob{
		{turns: longer, verb: "Bring forward"},
		{turns: offsets, verb: "Reduce"},
		{turns: fields(i, -1, "from"), verb: "Bring back"},
		{turns: together(longer, offsets), verb: "Change"},
	}
}

// given are those of the fields that the document has.
func given(d *design.Design, i int, sign float64, names ...string) []turn {
	var list []turn
	for _, name := range names {
		if _, ok := d.Number(design.Point(i, name)); ok {
			list = append(list, fields(i, sign, name)...)
		}
	}
	return list
}

// uprightShrinkKnobs make a floating layer, a box or a sliding tent smaller.
func uprightShrinkKnobs(d *design.Design, i int) []knob {
	height := given(d, i, -1, "height")
	across := map[design.Kind][]string{
		"floating_layer": {"left_extent", "right_extent", "left_support", "right_support"},
		"box":            {"left_offset", "right_offset"},
		"slide_tent":     {"near_width", "far_width"},
	}[d.Mechanisms[i].Kind]
	widths := given(d, i, -1, across...)
	list := []knob{{turns: widths, verb: "Reduce"}}
	if len(height) > 0 {
		list = append([]knob{{turns: height, verb: "Reduce"}}, list...)
		list = append(list, knob{turns: together(height, widths), verb: "Reduce"})
	}
	for _, name := range across {
		if one := given(d, i, -1, name); len(widths) > 1 && len(one) > 0 {
			list = append(list, knob{turns: one, verb: "Reduce"})
		}
	}
	if d.Mechanisms[i].Kind == "slide_tent" {
		list = append(list,
			knob{turns: fields(i, -1, "fixed_offset"), verb: "Reduce"},
			knob{turns: together(widths, fields(i, -1, "fixed_offset", "travel")), verb: "Reduce"})
	}
	return append(list, extentKnobs(i)...)
}
