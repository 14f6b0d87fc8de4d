package api

import (
	"bytes"
	"context"
	"html/template"
	"math"

	"foldwright/api/site"
	"foldwright/solver/view"
)

// embedFrames is how many openings the slider of an embedded picture has: every
// five degrees of a spread that opens flat.
const embedFrames = 37

// Embed makes the page with a picture and a slider. It shows the given opening
// at first, or one that shows the design well.
func (p *Pipeline) Embed(ctx context.Context, doc *Document, opening *float64) (*site.Page, error) {
	first := viewShare
	opensTo := doc.Design.Spread.OpensTo.Degrees()
	if opening != nil {
		if err := checkOpening(*opening, "opening"); err != nil {
			return nil, err
		}
		first = min(*opening/opensTo, 1)
	}
	a := p.compile(ctx, doc)
	drives, err := (&ViewOptions{}).moving(a, embedFrames, evenPace)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var picture bytes.Buffer
	p.timed(ctx, stageView, func() {
		err = view.Animate(&picture, a, view.AnimateOptions{Options: view.Options{Shadow: true, Stop: stopOf(ctx)}, Drives: drives})
	})
	if err = stopped(ctx, err); err != nil {
		return nil, err
	}
	return site.Embed{
		Title: doc.title(),
		// The view package escapes what comes from the design.
		Picture: template.HTML(picture.String()), //nolint:gosec // see above
		Frames:  embedFrames, First: int(math.Round(first * (embedFrames - 1))), OpensTo: opensTo,
	}.Page()
}
