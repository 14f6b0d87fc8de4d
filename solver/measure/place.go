package measure

import (
	"math"
	"strconv"
	"strings"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// subject is a mechanism or one panel of it.
type subject struct {
	named bool
	owner int // mechanism, or kinematics.Spread
	panel int // -1: every panel of the mechanism
}

func (s *subject) holds(a *kinematics.Assembly, panel int) bool {
	if s.panel >= 0 {
		return panel == s.panel
	}
	return a.Panels[panel].Mechanism == s.owner
}

func findSubject(a *kinematics.Assembly, id string) (subject, bool) {
	if i := a.PanelIndex(id); i >= 0 {
		return subject{true, a.Panels[i].Mechanism, i}, true
	}
	for i := range a.Design.Mechanisms {
		if a.Design.Mechanisms[i].ID == id {
			return subject{true, i, -1}, true
		}
	}
	return subject{}, false
}

// holder is what a point is a point of.
type holder uint8

const (
	noPoint  holder = iota
	onPanel         // a place of a panel's plane
	atCorner        // a corner of a panel's outline
	onFold          // an end of a fold
)

// point is a point of the paper.
type point struct {
	on    holder
	owner int // mechanism, or kinematics.Spread
	index int // of the panel or fold
	at    geom.Vec2
	which int // corner, or end of the fold
}

// maxPlace is the largest coordinate of a place on a panel, in mm: beyond any
// sheet, yet far from where digits are lost.
const maxPlace = 1e4

// findPoint reads "<panel>@<u>:<v>", "<panel>@corner<k>", "<fold>@start" or
// "<fold>@end".
func findPoint(a *kinematics.Assembly, text string) (point, bool) {
	id, place, found := strings.Cut(text, "@")
	if !found {
		return point{}, false
	}
	if end := (map[string]int{"start": 1, "end": 2})[place]; end > 0 {
		i := a.FoldIndex(id)
		if i < 0 {
			return point{}, false
		}
		return point{on: onFold, owner: a.Folds[i].Mechanism, index: i, which: end - 1}, true
	}
	i := a.PanelIndex(id)
	if i < 0 {
		return point{}, false
	}
	p := point{owner: a.Panels[i].Mechanism, index: i}
	if number, ok := strings.CutPrefix(place, "corner"); ok {
		k, err := strconv.ParseUint(number, 10, 31)
		p.on, p.which = atCorner, int(k)
		return p, err == nil && p.which < len(a.Panels[i].Outline)
	}
	u, v, _ := strings.Cut(place, ":")
	x, errX := strconv.ParseFloat(u, 64)
	y, errY := strconv.ParseFloat(v, 64)
	per := a.Design.Units.PerUnit()
	p.on, p.at = onPanel, geom.Vec2{X: x * per, Y: y * per}
	return p, errX == nil && errY == nil && math.Abs(p.at.X) <= maxPlace && math.Abs(p.at.Y) <= maxPlace
}

// bothOf reads two of a kind, parted by a tilde.
func bothOf[T any](a *kinematics.Assembly, text string, out *[2]T, find func(*kinematics.Assembly, string) (T, bool)) bool {
	first, second, _ := strings.Cut(text, "~")
	var ok [2]bool
	out[0], ok[0] = find(a, first)
	out[1], ok[1] = find(a, second)
	return ok[0] && ok[1]
}

func (p *point) position(a *kinematics.Assembly, pose *kinematics.Pose) geom.Vec3 {
	switch p.on {
	case onFold:
		return pose.FoldEnds(p.index)[p.which]
	case atCorner:
		return pose.Panels[p.index].At(a.Panels[p.index].Outline[p.which])
	default:
		return pose.Panels[p.index].At(p.at)
	}
}

func (p *point) velocity(r *kinematics.Rate) geom.Vec3 {
	switch p.on {
	case onFold:
		return r.FoldEnds(p.index)[p.which]
	case atCorner:
		return r.VertexRate(p.index, p.which)
	default:
		return r.Panels[p.index].At(p.at)
	}
}
