package api

import (
	"foldwright/solver/design"
	"foldwright/solver/stack"
)

// wireShut gives the shut page in the design's units.
func wireShut(d *design.Design, r *stack.Result) ShutStack {
	w := patternWire{perUnit: d.Units.PerUnit()}
	out := ShutStack{
		Thickness:    w.length(r.Thickest.Thickness),
		BetweenPages: w.length(r.Between),
		At:           Point2{w.length(r.Thickest.Point.Z), w.length(r.Thickest.Point.Y)},
		Layers:       wireLayers(r, r.Thickest.Pieces),
		Films:        r.Thickest.Films,
		Complete:     r.Complete, Exact: r.Exact,
		LeftOut: make([]string, len(r.LeftOut)),
	}
	for i, m := range r.LeftOut {
		out.LeftOut[i] = d.Mechanisms[m].ID
	}
	if r.Sequence != nil {
		order := wireLayers(r, r.Sequence)
		out.Order = &order
	}
	if r.Map != nil {
		regions := make([]ThicknessRegion, len(r.Map))
		for i := range r.Map {
			region := &r.Map[i]
			regions[i] = ThicknessRegion{
				Thickness: w.length(region.Thickness), Layers: region.Layers, Films: region.Films, Area: w.path(region.Area),
			}
		}
		out.Map = &regions
	}
	return out
}

func wireLayers(r *stack.Result, pieces []int) []Layer {
	list := make([]Layer, len(pieces))
	for i, k := range pieces {
		list[i] = Layer{Kind: LayerKind(r.Pieces[k].Sort.String()), Id: r.Pieces[k].ID}
	}
	return list
}
