package api

import (
	"context"

	"foldwright/solver/design"
	"foldwright/solver/view"
)

// diagram is how the catalogue shows a kind: an example, opened so that the
// kind is seen well, with the hand on what it moves.
type diagram struct {
	example string
	opening float64 // degrees
	low     bool    // seen from lower than the reader sees it
	drivers []DriverSetting
}

// lowElevation shows in full what stands up from the page, degrees.
const lowElevation = 25.0

var diagrams = map[design.Kind]diagram{
	"box":            {example: "shed", opening: 120},
	"cut_step":       {example: "steps", opening: 100},
	"cut_v":          {example: "gull", opening: 110},
	"figure":         {example: "sail", opening: 165, low: true},
	"flap":           {example: "hatch", opening: 160, drivers: []DriverSetting{{"hatch.angle", 60}}},
	"floating_layer": {example: "deck", opening: 130},
	"linkage":        {example: "crate", opening: 120},
	"parallel_fold":  {example: "quay", opening: 130},
	"pivot_arm":      {example: "signal", opening: 160, drivers: []DriverSetting{{"signal.pull", 9}}},
	"pull_tab":       {example: "ferry", opening: 160, drivers: []DriverSetting{{"ferry.pull", 12}, {"wave.pull", 16}}},
	"slide_tent":     {example: "regatta", opening: 150},
	"strap":          {example: "pontoon", opening: 110},
	"v_fold":         {example: "lighthouse", opening: 165, low: true},
	"wheel":          {example: "tide_clock", opening: 160, drivers: []DriverSetting{{"clock.turn", 45}}},
}

func diagramPath(k design.Kind) string { return "/v1/mechanisms/" + string(k) + "/diagram.svg" }

// GetDiagram answers GET /v1/mechanisms/{kind}/diagram.svg.
func (s *Server) GetDiagram(ctx context.Context, request GetDiagramRequestObject) (GetDiagramResponseObject, error) {
	shown, ok := diagrams[design.Kind(request.Kind)]
	if !ok {
		return nil, &fault{kind: notFound, detail: "there is no such kind; GET /v1/mechanisms lists them"}
	}
	doc, err := s.examples.find(shown.example)
	if err != nil {
		return nil, err
	}
	return s.kept(s.picture(ctx, doc, shown.options(), MediaSVG, inBody))(request.Params.IfNoneMatch)
}

func (d *diagram) options() ViewOptions {
	width, elevation := view.DiagramWidth, lowElevation
	o := ViewOptions{Opening: &d.opening, Drivers: d.drivers, Width: &width}
	if d.low {
		o.Elevation = &elevation
	}
	return o
}
