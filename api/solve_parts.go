package api

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// wireDrivers lists what is worked by hand.
func wireDrivers(a *kinematics.Assembly, scales []driverScale) []Driver {
	list := make([]Driver, len(a.Drivers))
	for i := range a.Drivers {
		d, s := &a.Drivers[i], &scales[i]
		list[i] = Driver{
			Id: d.ID, Mechanism: a.Design.Mechanisms[d.Mechanism].ID,
			Unit: s.unit, Min: s.min, Max: s.max, Rest: s.rest,
		}
	}
	return list
}

// wireStrips lists the bands that pull, in the design's units.
func wireStrips(a *kinematics.Assembly) []Strip {
	per := a.Design.Units.PerUnit()
	length := func(mm float64) float64 { return round6(mm / per) }
	end := func(f kinematics.Face) *StripEnd {
		return &StripEnd{Panel: a.Panels[f.Panel].ID, At: wirePoint2(f.Origin, per)}
	}
	list := make([]Strip, len(a.Strips))
	for i := range a.Strips {
		s := &a.Strips[i]
		list[i] = Strip{Id: s.ID, Mechanism: a.Design.Mechanisms[s.Mechanism].ID, Width: length(s.Width)}
		if s.Length == 0 { // drawn by hand
			continue
		}
		long, most := length(s.Length), length(s.Most)
		list[i].Length, list[i].Travel = &long, &most
		list[i].Pulls, list[i].Anchor = end(s.Pulls), end(s.Anchor)
		list[i].Gap = &StripGap{Panel: a.Panels[s.Gap.Panel].ID, From: length(s.Gap.From), To: length(s.Gap.To), Rise: length(s.Gap.Rise)}
	}
	return list
}

func wirePoint2(p geom.Vec2, perUnit float64) Point2 {
	return Point2{round6(p.X / perUnit), round6(p.Y / perUnit)}
}

// wireLinkages reports how each linkage is held.
func wireLinkages(a *kinematics.Assembly) []LinkageReport {
	reports := a.Linkages()
	list := make([]LinkageReport, len(reports))
	for i := range reports {
		r := &reports[i]
		list[i] = LinkageReport{
			Mechanism: a.Design.Mechanisms[r.Mechanism].ID, Solved: r.Solved,
			Freedom: r.Freedom, Redundancy: r.Redundancy,
			Residual:  round6(r.Residual / a.Design.Units.PerUnit()),
			Reach:     Interval{From: round6(r.From.Degrees()), To: round6(r.To.Degrees())},
			LocksShut: r.LocksShut, LocksOpen: r.LocksOpen, Closures: r.Closures,
		}
	}
	return list
}
