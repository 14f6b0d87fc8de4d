package check

import (
	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// choose sets a field to one of its words; nil when it has it already or there is
// no such field.
func choose(d *design.Design, pointer, word string) []knob {
	c, ok := d.Word(pointer)
	if !ok || c.Get() == word {
		return nil
	}
	return []knob{{choose: []finding.Change{{Pointer: pointer, Choice: word}}, verb: "Set"}}
}

// grainKnobs cut the page with its fibres along the gutter.
func grainKnobs(d *design.Design) []knob {
	return choose(d, "/paper/grain", string(design.AlongGutter))
}

// otherTabSide turns the tabs of a mechanism to the other side.
func otherTabSide(d *design.Design, i int) []knob {
	pointer := design.Point(i, "joint/tab_side")
	return append(choose(d, pointer, string(design.Inner)), choose(d, pointer, string(design.Outer))...)
}

// up and down turn one field of a mechanism, where it has it.
func up(d *design.Design, i int, verb string, names ...string) []knob {
	return turned(d, i, 1, verb, names)
}
func down(d *design.Design, i int, verb string, names ...string) []knob {
	return turned(d, i, -1, verb, names)
}

func turned(d *design.Design, i int, sign float64, verb string, names []string) []knob {
	for _, name := range names {
		if _, ok := d.Number(design.Point(i, name)); !ok {
			return nil
		}
	}
	return []knob{{turns: fields(i, sign, names...), verb: verb}}
}

// partsKnobs are for faults of the parts: what the part is made with, then where it
// lies, then how large it is.
func partsKnobs(d *design.Design, f *finding.Finding) []knob {
	i := f.Mechanism
	var list []knob
	add := func(more ...[]knob) {
		for _, k := range more {
			list = append(list, k...)
		}
	}
	switch f.Code {
	case finding.FoldsBothWays, finding.FigureInPieces, finding.TightBend:
		return nil
	case finding.TabTooSmall:
		if n, ok := d.Number(design.Point(i, "joint/tab_depth")); ok && f.Severity == finding.Note { // it is good as it is
			return []knob{setAll(turn{pointer: n.Pointer, value: n.Get() - f.Amount.Value})}
		}
		add(up(d, i, "Deepen", "joint/tab_depth"), up(d, i, "Deepen", "tab/depth"), growKnobs(d, i), otherTabSide(d, i))
	case finding.NoRoomForTab, finding.NoRoomForLock:
		add(otherTabSide(d, i), growKnobs(d, i))
	case finding.PartTooSmall:
		return growKnobs(d, i)
	case finding.GlueOutOfReach:
		add(choose(d, design.Point(i, "joint/fix"), string(design.Surface)), otherTabSide(d, i))
	case finding.TabNotJoined, finding.TabInsideFigure:
		add(down(d, i, "Move", "tab/at"), up(d, i, "Move", "tab/at"), down(d, i, "Narrow", "tab/width"))
	case finding.TabOffHost:
		add(down(d, i, "Reduce", "tab/depth"), down(d, i, "Narrow", "tab/width"))
	case finding.WindowOffDisc, finding.NoRoomForThumb:
		add(up(d, i, "Enlarge", "radius"), up(d, i, "Lengthen", "strip/length"))
	case finding.StripTooShort:
		add(up(d, i, "Lengthen", "strip/length"), down(d, i, "Reduce", "stroke"))
	case finding.LocksInStroke:
		return down(d, i, "Reduce", "stroke")
	case finding.NoRoomForRunner:
		add(up(d, i, "Widen", "strip/width"))
	case finding.OverCrease:
		add(down(d, i, "Shorten", "strip/length"))
	case finding.NecksMeet: // along the ridge: past each other sideways they would not cross
		list = append(list, knob{turns: fields(i, 1, "place/u"), eitherWay: true, verb: "Move"})
	case finding.WebTooThin:
		add(up(d, i, "Lengthen", "crank"))
	}
	add(moveKnobs(d, i), shrinkKnobs(d, i))
	if f.Code == finding.OverCrease || f.Code == finding.GuideOffPanel {
		add(down(d, i, "Reduce", "stroke"), down(d, i, "Reduce", "radius"))
	}
	return list
}

// growKnobs make a mechanism larger.
func growKnobs(d *design.Design, i int) []knob {
	var list []knob
	switch spec := d.Mechanisms[i].Spec.(type) {
	case *design.VFold:
		bases := sides(i, spec.Right != nil, 1, "base_length")
		list = []knob{{turns: bases, verb: "Lengthen"}, {turns: together(bases, fields(i, 1, "ridge_length")), verb: "Lengthen"}}
	case *design.ParallelFold:
		both := spec.Right != nil
		list = []knob{
			{turns: fields(i, 1, "to"), verb: "Lengthen"},
			{turns: sides(i, both, 1, "base_offset"), verb: "Increase"},
			{turns: together(sides(i, both, 1, "base_offset"), sides(i, both, 1, "panel_width")), verb: "Enlarge"},
			{turns: together(sides(i, both, 1, "panel_width"), fields(i, 1, "to")), verb: "Enlarge"},
		}
	case *design.Strap, *design.CutStep:
		list = []knob{
			{turns: fields(i, 1, "to"), verb: "Lengthen"},
			{turns: fields(i, 1, "left_offset", "right_offset"), verb: "Increase"},
			{turns: fields(i, 1, "to", "left_offset", "right_offset"), verb: "Enlarge"},
		}
	case *design.Box:
		list = append(up(d, i, "Enlarge", "left_offset"), up(d, i, "Lengthen", "to")...)
	case *design.FloatingLayer:
		list = append(up(d, i, "Lengthen", "to"), up(d, i, "Widen", "left_extent")...)
	case *design.SlideTent:
		list = append(up(d, i, "Widen", "far_width"), up(d, i, "Increase", "fixed_offset")...)
	case *design.Flap:
		list = append(up(d, i, "Deepen", "depth"), up(d, i, "Lengthen", "hinge_length")...)
	}
	return list
}
