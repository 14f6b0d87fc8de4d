package compare

import (
	"math"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// Measure is one measure of both designs at a list of openings.
type Measure struct {
	measure.Measure // of the later design, or of the earlier where that alone has it
	Change          Change
	// Before and After are in mm or radians; nil where a design has no such
	// measure, NaN where it has no value at the opening.
	Before, After []float64
	// Greatest is the place in the list where the two are furthest apart; -1
	// where they are never both known.
	Greatest int
}

// sameMeasure is the difference in mm or radians that two measures may have and
// still be the same: far more than rounding, far less than can be cut.
const sameMeasure = 1e-6

// Measures lists the measures that differ at any of the openings, in the order
// of the later design, then those it lost. It is cut short once stop says so.
func Measures(before, after *kinematics.Assembly, openings []geom.Angle, stop func() bool) []Measure {
	earlier, later := measure.List(before), measure.List(after)
	known := make(map[string]int, len(earlier))
	for i := range earlier {
		known[earlier[i].ID] = i
	}
	was, is := values(before, earlier, openings, stop), values(after, later, openings, stop)
	var out []Measure
	for i := range later {
		k, both := known[later[i].ID]
		if !both {
			out = append(out, Measure{Measure: later[i], Change: Added, After: is[i], Greatest: -1})
			continue
		}
		delete(known, later[i].ID)
		if greatest, differ := furthest(was[k], is[i]); differ {
			out = append(out, Measure{later[i], Changed, was[k], is[i], greatest})
		}
	}
	for i := range earlier {
		if _, lost := known[earlier[i].ID]; lost {
			out = append(out, Measure{Measure: earlier[i], Change: Removed, Before: was[i], Greatest: -1})
		}
	}
	return out
}

// values takes measures at openings: by measure, then by opening.
func values(a *kinematics.Assembly, list []measure.Measure, openings []geom.Angle, stop func() bool) [][]float64 {
	out := make([][]float64, len(list))
	for i := range out {
		out[i] = make([]float64, len(openings))
	}
	gauge, pose := measure.NewGauge(a), a.NewPose()
	for k, opening := range openings {
		a.PoseInto(pose, kinematics.Drive{Opening: opening})
		for i := range list {
			if stop() {
				return out
			}
			out[i][k] = gauge.Take(&list[i], pose).Value
		}
	}
	return out
}

// furthest is where two lists differ most, and whether they differ at all: in a
// value, or in having one.
func furthest(a, b []float64) (at int, differ bool) {
	at, most := -1, -1.0
	for i := range a {
		apart := math.Abs(a[i] - b[i])
		if math.IsNaN(apart) {
			differ = differ || math.IsNaN(a[i]) != math.IsNaN(b[i])
			continue
		}
		differ = differ || apart > sameMeasure
		if apart > most {
			at, most = i, apart
		}
	}
	return at, differ
}
