package api

import "context"

// Pattern answers the flat parts in the given media type.
func (p *Pipeline) Pattern(ctx context.Context, doc *Document, options PatternOptions, media string) ([]byte, error) {
	parts, err := p.Parts(ctx, doc, options)
	if err != nil {
		return nil, err
	}
	if media == MediaJSON {
		return encode(wirePattern(doc, parts))
	}
	return nil, &fault{kind: notAcceptable, detail: "offered here: " + MediaJSON}
}
