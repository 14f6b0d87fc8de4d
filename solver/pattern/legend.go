package pattern

import (
	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

const (
	// legendID is of the part of a drawing that explains its lines. No part has
	// it: identifiers have no hyphen.
	legendID = "line-legend"
	// legendSample is the length of a line shown in the legend, and legendSwatch
	// that of the hatched area, mm; legendHigh the most its lettering is high,
	// whatever that of the parts.
	legendSample, legendSwatch, legendHigh = 14.0, 7.0, 3.0
	// legendLine is from one line of the legend to the next and legendGap from
	// one entry to the next, in heights of its lettering.
	legendLine, legendGap = 2.0, 1.6
)

// The dashes of the samples, mm: line, gap and on. They are those of the open
// notation of paper folding that the writers use for creases, drawn line by line
// because all of the legend is lettering, which nothing is cut along.
var (
	mountainSample = []float64{5, 1.2, 0.8, 1.2}
	valleySample   = []float64{2.6, 1.4}
)

// legendEntry is a sample, from the origin along x about y = 0, and its word.
type legendEntry struct {
	id     string
	sample geom.Path
	wide   float64
	text   string
}

// legendScores is what is added to the words for folds.
var legendScores = map[draw.Scores][2]string{
	draw.Perforated: {", perforated", ", perforated"},
	draw.HalfCut:    {": half cut this face", ": half cut the reverse"},
}

func legendEntries(high float64, scores draw.Scores) []legendEntry {
	made := legendScores[scores]
	return []legendEntry{
		{"cut", dashed(legendSample, []float64{legendSample, 0}), legendSample, "cut"},
		{"mountain", dashed(legendSample, mountainSample), legendSample, "mountain fold" + made[0]},
		{"valley", dashed(legendSample, valleySample), legendSample, "valley fold" + made[1]},
		{"glue", swatch(legendSwatch, high), legendSwatch, "glue here"},
		{"rev", nil, 0, `"` + onBackSuffix[1:] + `": on the reverse`},
	}
}

// dashed is a level line in dashes.
func dashed(long float64, dash []float64) (out geom.Path) {
	for x, k := 0.0, 0; x < long; k += 2 {
		i := k % len(dash)
		out = append(out, geom.PolylinePath([]geom.Vec2{{X: x}, {X: min(long, x+dash[i])}}, false)...)
		x += dash[i] + dash[i+1]
	}
	return out
}

// swatch is a small hatched area, lines rising to the right.
func swatch(wide, high float64) geom.Path {
	out := geom.Rect(0, -high/2, wide, high/2)
	const spacing = 1.4
	for c := spacing; c < wide+high; c += spacing { // the line x - y = c - high/2
		from := geom.Vec2{X: max(0, c-high), Y: max(0, high-c) - high/2}
		to := geom.Vec2{X: min(c, wide), Y: min(high, wide+high-c) - high/2}
		out = append(out, geom.PolylinePath([]geom.Vec2{from, to}, false)...)
	}
	return out
}

// legend tells what the lines of the drawing mean, in lines no wider than given
// unless one entry is. Its top left corner is the origin.
func (p *Pattern) legend(wide float64) (part draw.Part, size geom.Vec2) {
	high := min(p.height, legendHigh)
	part = draw.Part{ID: legendID, Name: "legend"}
	x, y := 0.0, -high/2
	for _, e := range legendEntries(high, p.finish.Scores) {
		long := TextWidth(e.text, high)
		if e.wide > 0 {
			long += e.wide + high/2
		}
		if x > 0 && x+long > wide {
			x, y = 0, y-legendLine*high
		}
		at := x
		if e.wide > 0 {
			part.Marks = append(part.Marks, draw.Mark{Op: draw.Label, ID: e.id, Path: e.sample.Transform(geom.Move(geom.Vec2{X: x, Y: y}))})
			at += e.wide + high/2
		}
		part.Texts = append(part.Texts, draw.Text{Op: draw.Label, At: geom.Vec2{X: at, Y: y - high/2}, Height: high, S: e.text})
		size.X = max(size.X, x+long)
		x += long + legendGap*high
	}
	size.Y = high/2 - y
	return part, size
}
