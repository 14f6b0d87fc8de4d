package api

import (
	"context"
	"regexp"
	"strings"
)

// kept makes an answer that was worked out from a version or an example, which
// do not change, one that may be kept for a while and asked for again cheaply.
func (s *Server) kept(a *answer, err error) func(*IfNoneMatch) (*answer, error) {
	return func(held *IfNoneMatch) (*answer, error) {
		if err != nil {
			return nil, err
		}
		return a.taggedByBody(cacheAWhile, held), nil
	}
}

// asFile gives an answer a name to be saved under: of the design, and of what
// it shows.
func (s *Server) asFile(title, what string) func(*answer, error) (*answer, error) {
	return func(a *answer, err error) (*answer, error) {
		if err != nil {
			return nil, err
		}
		name := fileName(title) + "-" + what + extensions[a.media]
		return a.with("Content-Disposition", `inline; filename="`+name+`"`), nil
	}
}

// What files show.
const (
	patternFile = "pattern"
	viewFile    = "view"
	curvesFile  = "curves"
	guideFile   = "guide"
	modelFile   = "model"
	layoutFile  = "layout"
)

var extensions = map[string]string{MediaJSON: ".json", MediaSVG: ".svg", MediaDXF: ".dxf", MediaPDF: ".pdf", MediaPNG: ".png", MediaCSV: ".csv", MediaGLB: ".glb", mediaPage: ".html"}

var unsafeInNames = regexp.MustCompile(`[^a-z0-9]+`)

// fileName is a title as part of a file name: plain letters, digits and dashes,
// so that it is safe on every system and needs no quoting in a header.
func fileName(title string) string {
	const longest = 60
	name := strings.Trim(unsafeInNames.ReplaceAllString(strings.ToLower(title), "-"), "-")
	if len(name) > longest {
		name = strings.Trim(name[:longest], "-")
	}
	if name == "" {
		return "design"
	}
	return name
}

// querySolve answers a GET for poses.
func (s *Server) querySolve(ctx context.Context, doc *Document, q SolveVersionParams) (*answer, error) {
	drivers, err := queryDrivers(q.Driver)
	if err != nil {
		return nil, err
	}
	o := SolveOptions{Drivers: drivers, Findings: orTrue(q.Findings), Conditioning: orFalse(q.Conditioning)}
	if q.Openings != nil {
		o.Openings = *q.Openings
	}
	if q.Sweep != nil || q.From != nil || q.To != nil || q.Steps != nil {
		o.Sweep = &SweepOptions{From: q.From, To: q.To, Steps: q.Steps}
		fill(&o.Sweep.Driver, q.Sweep)
	}
	return s.kept(s.solution(ctx, doc, o, inQuery(drivers...)))(q.IfNoneMatch)
}

// queryPattern is the options of a GET for flat parts.
func queryPattern(q *PatternVersionParams) PatternOptions {
	return PatternOptions{
		SlotLengthClearance: q.SlotLengthClearance, SlotGapClearance: q.SlotGapClearance, PartSpacing: q.PartSpacing, LabelHeight: q.LabelHeight,
		MinWeb: q.MinWeb, MinRadius: q.MinRadius, ThicknessAllowance: q.ThicknessAllowance,
		Drawing: queryDrawing(q.Style, q.Layers, q.Kerf, q.Scores, q.Paper, q.Orientation, q.Margin, q.Overlap),
	}
}
