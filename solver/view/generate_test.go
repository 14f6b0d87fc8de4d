package view

import (
	"encoding/json"
	"fmt"
	"math"

	"pgregory.net/rapid"

	"foldwright/solver/kinematics"
)

type entry map[string]any

// decimal draws a number with two decimals.
func decimal(t *rapid.T, label string, lo, hi float64) float64 {
	return float64(rapid.IntRange(int(math.Ceil(lo*100)), int(math.Floor(hi*100))).Draw(t, label)) / 100
}

var ids = []string{"lighthouse", "quay", "gull", "sail", "crane", "buoy", "trawler", "lamp", "jetty"}

// figures are outlines to fix on panels: convex, concave, curved, with a hole,
// with a waist, and two long enough to reach across ridges and cross
// figures there.
var figures = []string{
	"M0 0 H14 V20 H0 Z",
	"M0 0 H20 V30 L10 8 L0 30 Z",
	"M0 0 C0 30 30 30 30 0 Z",
	"M-15 -15 H15 V15 H-15 Z M-8 -8 V8 H8 V-8 Z",
	"M0 0 H30 V24 L15 8 L4 30 Z",
	"M-60 0 H60 V8 H-60 Z",
	"M-40 5 H-4 V-12 H4 V5 H40 V14 H-40 Z",
}

// drawDesign draws a spread with up to eight mechanisms on one another. They
// need not shut and may run into each other, which is what splits faces.
func drawDesign(t *rapid.T) *kinematics.Assembly {
	folds, panels := []string{"gutter"}, []string{"page.left", "page.right"}
	var mechanisms []entry
	for i := range rapid.IntRange(1, 8).Draw(t, "count") {
		id := ids[i]
		kind := rapid.SampledFrom([]string{"v_fold", "parallel_fold", "strap", "figure", "figure"}).Draw(t, "kind")
		var e entry
		from := decimal(t, "from", 5, 90)
		a := decimal(t, "a", 20, 60)
		switch kind {
		case "v_fold":
			side := entry{"base_angle": a, "panel_angle": a + decimal(t, "wider", 5, 50), "base_length": decimal(t, "base", 15, 60)}
			e = entry{"at": from, "left": side, "ridge_length": decimal(t, "ridge", 15, 60)}
		case "parallel_fold":
			e = entry{"from": from, "to": from + decimal(t, "long", 5, 60),
				"left": entry{"base_offset": a / 2, "panel_width": a/2 + decimal(t, "wider", 2, 30)}}
		case "strap":
			e = entry{"from": from, "to": from + decimal(t, "long", 5, 60), "left_offset": a / 2, "right_offset": decimal(t, "right", 10, 40)}
		case "figure":
			e = entry{"outline": rapid.SampledFrom(figures).Draw(t, "outline"),
				"place": entry{"u": decimal(t, "u", -10, 60), "v": decimal(t, "v", -10, 40), "rotate": decimal(t, "rotate", -180, 180)},
				"on":    entry{"panel": rapid.SampledFrom(panels).Draw(t, "panel")}}
			panels = append(panels, id+".figure")
		}
		if kind != "figure" {
			e["on"] = entry{"fold": rapid.SampledFrom(folds).Draw(t, "fold")}
			folds = append(folds, id+".left_base", id+".ridge", id+".right_base")
			panels = append(panels, id+".left", id+".right")
		}
		e["id"], e["kind"] = id, kind
		mechanisms = append(mechanisms, e)
	}
	data, err := json.Marshal(mechanisms)
	if err != nil {
		t.Fatal(err)
	}
	return compile(t, spread(string(data[1:len(data)-1])))
}

// drawOpening draws an opening in degrees, the ends among them.
func drawOpening(t *rapid.T) float64 {
	if rapid.IntRange(0, 4).Draw(t, "end") == 0 {
		return rapid.SampledFrom([]float64{0, 90, 180}).Draw(t, "opening")
	}
	return decimal(t, "opening", 1, 180)
}

func drawCamera(t *rapid.T) Camera {
	c := Camera{Viewpoint: rapid.SampledFrom(Viewpoints()).Draw(t, "viewpoint")}
	if c.Viewpoint == Free {
		c.Azimuth = radians(decimal(t, "azimuth", -180, 180))
		c.Elevation = radians(decimal(t, "elevation", -90, 90))
		c.Distance = decimal(t, "distance", 0, 1000)
	}
	c.Projection = rapid.SampledFrom([]Projection{OwnProjection, Parallel, Perspective}).Draw(t, "projection")
	resolved, err := c.resolved()
	if err != nil {
		t.Fatal(fmt.Sprint(c, err))
	}
	return resolved
}
