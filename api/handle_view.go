package api

import (
	"context"
	"net/http"
)

// View answers POST /v1/view.
func (s *Server) View(ctx context.Context, request ViewRequestObject) (ViewResponseObject, error) {
	body := request.Body
	doc, err := s.posted(ctx, body.Design, body.Example)
	if err != nil {
		return nil, err
	}
	options := ViewOptions{
		Opening: body.Opening, Drivers: bodyDrivers(body.Drivers),
		Azimuth: body.Azimuth, Elevation: body.Elevation, Width: body.Width,
		Labels: orFalse(body.Labels), Shadow: body.Shadow, Marks: orFalse(body.Marks),
		Animated: orFalse(body.Animated), Stages: body.Stages,
	}
	options.setTexts(body.Viewpoint, body.Projection, body.Background, body.Moves, body.Dimensions)
	return s.picture(ctx, doc, options, exchangeOf(ctx).media, inBody)
}

// setTexts sets the options that are texts.
func (o *ViewOptions) setTexts(viewpoint *ViewpointName, projection *ProjectionName, background, moves *string, dimensions *[]DimensionName) {
	if viewpoint != nil {
		o.Viewpoint = string(*viewpoint)
	}
	if projection != nil {
		o.Projection = string(*projection)
	}
	fill(&o.Background, background)
	fill(&o.Moves, moves)
	if dimensions != nil {
		for _, d := range *dimensions {
			o.Dimensions = append(o.Dimensions, string(d))
		}
	}
}

func (s *Server) picture(ctx context.Context, doc *Document, options ViewOptions, media string, where optionPlace) (*answer, error) {
	body, err := s.pipeline.View(ctx, doc, options, media)
	if err != nil {
		return nil, where.fault(err)
	}
	return newAnswer(http.StatusOK, media, body).with("Cache-Control", cacheAskEach), nil
}

// queryView answers a GET for a picture.
func (s *Server) queryView(ctx context.Context, doc *Document, q ViewVersionParams, media string) (*answer, error) {
	drivers, err := queryDrivers(q.Driver)
	if err != nil {
		return nil, err
	}
	options := ViewOptions{
		Opening: q.Opening, Drivers: drivers,
		Azimuth: q.Azimuth, Elevation: q.Elevation, Width: q.Width,
		Labels: orFalse(q.Labels), Shadow: q.Shadow, Marks: orFalse(q.Marks),
		Animated: orFalse(q.Animated), Stages: q.Stages,
	}
	options.setTexts(q.Viewpoint, q.Projection, q.Background, q.Moves, q.Dimensions)
	return s.kept(s.picture(ctx, doc, options, media, inQuery(drivers...)))(q.IfNoneMatch)
}

// ViewVersion answers GET /v1/designs/{id}/versions/{n}/view.
func (s *Server) ViewVersion(ctx context.Context, request ViewVersionRequestObject) (ViewVersionResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.queryView(ctx, doc, request.Params, exchangeOf(ctx).media)
}

// ViewExample answers GET /v1/examples/{name}/view.
func (s *Server) ViewExample(ctx context.Context, request ViewExampleRequestObject) (ViewExampleResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.queryView(ctx, doc, ViewVersionParams(request.Params), exchangeOf(ctx).media)
}

// ViewVersionSvg answers GET /v1/designs/{id}/versions/{n}/view.svg.
func (s *Server) ViewVersionSvg(ctx context.Context, request ViewVersionSvgRequestObject) (ViewVersionSvgResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, viewFile)(s.queryView(ctx, doc, ViewVersionParams(request.Params), MediaSVG))
}

// ViewExampleSvg answers GET /v1/examples/{name}/view.svg.
func (s *Server) ViewExampleSvg(ctx context.Context, request ViewExampleSvgRequestObject) (ViewExampleSvgResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, viewFile)(s.queryView(ctx, doc, ViewVersionParams(request.Params), MediaSVG))
}

// ViewVersionPng answers GET /v1/designs/{id}/versions/{n}/view.png.
func (s *Server) ViewVersionPng(ctx context.Context, request ViewVersionPngRequestObject) (ViewVersionPngResponseObject, error) {
	doc, err := s.versionDocument(ctx, request.Id, request.N)
	if err != nil {
		return nil, err
	}
	return s.asFile(doc.Design.Title, viewFile)(s.queryView(ctx, doc, ViewVersionParams(request.Params), MediaPNG))
}

// ViewExamplePng answers GET /v1/examples/{name}/view.png.
func (s *Server) ViewExamplePng(ctx context.Context, request ViewExamplePngRequestObject) (ViewExamplePngResponseObject, error) {
	doc, err := s.examples.find(request.Name)
	if err != nil {
		return nil, err
	}
	return s.asFile(request.Name, viewFile)(s.queryView(ctx, doc, ViewVersionParams(request.Params), MediaPNG))
}
