package api

import (
	"bytes"
	"context"
	"fmt"

	"foldwright/solver/draw"
	"foldwright/solver/pattern"
)

// Pattern answers the flat parts in the given media type.
func (p *Pipeline) Pattern(ctx context.Context, doc *Document, options PatternOptions, media string) (body []byte, err error) {
	parts, err := p.Parts(ctx, doc, options)
	if err != nil {
		return nil, err
	}
	if media == MediaJSON {
		return encode(wirePattern(doc, parts))
	}
	p.timed(stageDraw, func() { body, err = drawPattern(doc, parts, media) })
	return body, err
}

// untitled is what a drawing is called whose design has no title.
const untitled = "Untitled design"

func drawPattern(doc *Document, parts *pattern.Pattern, media string) ([]byte, error) {
	title := doc.Design.Title
	if title == "" {
		title = untitled
	}
	drawing := parts.Drawing(title)
	var out bytes.Buffer
	var err error
	switch media {
	case MediaSVG:
		err = draw.WriteSVG(&out, drawing, draw.SVGOptions{})
	case MediaDXF:
		err = draw.WriteDXF(&out, drawing, draw.DXFOptions{})
	default:
		err = fmt.Errorf("api: no writer for %s", media)
	}
	return out.Bytes(), err
}
