package view

import (
	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// harbour is a spread with eight mechanisms that shuts without a collision: a
// lighthouse with its tower, a lamp on that and a gull, a quay with a crane and
// a buoy, and a mooring strap.
const harbour = `{
  "title": "Harbour morning",
  "spread": {"page_width": 130, "page_height": 180, "corner_radius": 4},
  "mechanisms": [
    {"id": "lighthouse", "kind": "v_fold", "on": {"fold": "gutter"}, "at": 100,
     "left": {"base_angle": 55, "panel_angle": 90, "base_length": 70}, "ridge_length": 85},
    {"id": "quay", "kind": "parallel_fold", "on": {"fold": "gutter"}, "from": 8, "to": 26,
     "left": {"base_offset": 22, "panel_width": 34}},
    {"id": "gull", "kind": "v_fold", "on": {"fold": "lighthouse.left_base", "side": "outer"}, "at": 30,
     "left": {"base_angle": 50, "panel_angle": 75, "base_length": 25}, "ridge_length": 30},
    {"id": "tower", "kind": "figure", "on": {"panel": "lighthouse.right"},
     "outline": "M-9 0 L-6 62 L-9 62 L-9 66 L-6 66 L-6 78 C-6 86 6 86 6 78 L6 66 L9 66 L9 62 L6 62 L9 0 Z M-3 12 A3 3 0 0 1 3 12 V18 H-3 Z",
     "place": {"u": 26, "v": 4}},
    {"id": "lamp", "kind": "figure", "on": {"panel": "tower.figure"},
     "outline": "M-3.5 0 H3.5 V7 H-3.5 Z", "place": {"u": 0, "v": 69}},
    {"id": "crane", "kind": "figure", "on": {"panel": "quay.right"},
     "outline": "M0 0 H5 V24 L26 34 L24 38 L5 30 V36 H0 Z", "place": {"u": 6, "v": 14}},
    {"id": "buoy", "kind": "v_fold", "on": {"fold": "quay.left_base"}, "at": 12,
     "left": {"base_angle": 55, "panel_angle": 70, "base_length": 14}, "ridge_length": 20},
    {"id": "mooring", "kind": "strap", "on": {"fold": "gutter"}, "from": 150, "to": 170, "left_offset": 24, "right_offset": 18}
  ]}`

// compile reads a design that must be valid.
func compile(t rapid.TB, document string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

// spread is a design with the given mechanisms on a page of 130 by 180 mm.
func spread(mechanisms string) string {
	return `{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`
}

func posed(a *kinematics.Assembly, degrees float64) *kinematics.Pose {
	p := a.NewPose()
	a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(degrees)})
	return p
}

func radians(degrees float64) geom.Angle { return geom.Degrees(degrees) }

// outline is the rings without what their sides are.
func (g *fragment) outline() [][]geom.Vec2 {
	out := make([][]geom.Vec2, len(g.rings))
	for i, ring := range g.rings {
		out[i] = make([]geom.Vec2, len(ring))
		for j, c := range ring {
			out[i][j] = c.at
		}
	}
	return out
}
