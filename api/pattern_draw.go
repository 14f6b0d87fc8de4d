package api

import (
	"context"

	"foldwright/solver/draw"
)

// Pattern answers the flat parts in the given media type.
func (p *Pipeline) Pattern(ctx context.Context, doc *Document, options PatternOptions, media string) (body []byte, err error) {
	writer, err := options.Drawing.writer(doc.Design, media)
	if err != nil {
		return nil, err
	}
	parts, changes, err := p.allowed(ctx, doc, options)
	if err != nil {
		return nil, err
	}
	if media == MediaJSON {
		return encode(wirePattern(doc, parts, changes))
	}
	p.timed(ctx, stageDraw, func() {
		var drawing *draw.Drawing
		if drawing, err = parts.Finished(doc.title()); err == nil {
			body, err = writer.write(drawing, media)
		}
	})
	return body, err
}
