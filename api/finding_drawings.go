package api

import (
	"bytes"
	"context"
	"net/http"

	"foldwright/solver/check"
	"foldwright/solver/draw"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/solver/view"
	"foldwright/testdata/faults"
)

func findingDrawingPath(c finding.Code) string {
	return "/v1/findings/" + string(c) + "/drawing.svg"
}

// GetFindingDrawing answers GET /v1/findings/{code}/drawing.svg.
func (s *Server) GetFindingDrawing(_ context.Context, request GetFindingDrawingRequestObject) (GetFindingDrawingResponseObject, error) {
	raw, ok := faults.Read(request.Code)
	if !ok {
		return nil, &fault{kind: notFound, detail: "there is no such code; GET /v1/findings lists them"}
	}
	doc, err := readDocument(raw, "")
	if err != nil {
		return nil, err
	}
	body, err := drawFinding(kinematics.Compile(doc.Design), finding.Code(request.Code))
	if err != nil {
		return nil, err
	}
	return s.kept(newAnswer(http.StatusOK, MediaSVG, body).with("Cache-Control", cacheAskEach), nil)(request.Params.IfNoneMatch)
}

// drawFinding draws a design that breaks a rule with the place marked: the part
// concerned where it is about parts, else the folded spread.
func drawFinding(a *kinematics.Assembly, code finding.Code) ([]byte, error) {
	var out bytes.Buffer
	var found finding.Finding
	for _, f := range check.Findings(a, func() bool { return false }) {
		if f.Code == code {
			found = f
			break
		}
	}
	if code.OfParts() {
		err := drawPart(&out, a, &found)
		return out.Bytes(), err
	}
	drive := kinematics.Drive{Opening: shownOpening(a, &found)}
	marks := marksOf(a, []finding.Finding{found}, drive)
	for i := range marks {
		marks[i].Label = ""
	}
	err := view.Diagram(&out, a, drive.Opening, view.Options{Width: view.DiagramWidth, Marks: marks})
	return out.Bytes(), err
}

// nearlyShut shows what is wrong with the shut pages while they can still be seen
// apart.
const nearlyShut = 30.0

// shownOpening is an opening near the middle of those at which a finding holds,
// at which the whole design stands.
func shownOpening(a *kinematics.Assembly, f *finding.Finding) geom.Angle {
	fully := a.Design.Spread.OpensTo
	wanted := min(max((f.At.From+f.At.To)/2, geom.Degrees(nearlyShut)), fully)
	p := a.NewPose()
	for off := geom.Angle(0); off < fully; off += geom.Degrees(3) {
		for _, at := range []geom.Angle{wanted - off, wanted + off} {
			if at <= 0 || at > fully {
				continue
			}
			if a.PoseInto(p, kinematics.Drive{Opening: at}); p.AllReached {
				return at
			}
		}
	}
	return wanted
}

// ringRadius is the size of the ring round a place on a part, as a share of the
// longer side of what is shown.
const ringRadius = 0.06

// around is how much of a large part is shown about the place, mm.
const around = 60.0

// drawPart draws the part a finding is about, with a ring round the place.
func drawPart(out *bytes.Buffer, a *kinematics.Assembly, f *finding.Finding) error {
	o := pattern.DefaultOptions()
	o.LabelHeight = pattern.MinLabelHeight
	p, err := pattern.Make(a, o)
	if err != nil {
		return err
	}
	part := p.Part(f.Where.Flat.Part)
	if part == nil {
		part = &p.Parts[0]
	}
	box := part.Bounds()
	at := f.Where.Flat.Point
	near := geom.EmptyBox().Extend(at).Grow(around)
	box = geom.Box2{
		Min: geom.Vec2{X: max(box.Min.X, near.Min.X), Y: max(box.Min.Y, near.Min.Y)},
		Max: geom.Vec2{X: min(box.Max.X, near.Max.X), Y: min(box.Max.Y, near.Max.Y)},
	}.Extend(at)
	size := max(box.Size().X, box.Size().Y)
	box = box.Grow(size * ringRadius * 1.5)
	drawn := part.Drawing()
	drawn.Marks = append(drawn.Marks, draw.Mark{Op: draw.Registration, ID: "place", Path: geom.Circle(at, size*ringRadius)})
	styles := draw.DefaultStyles()
	for i := range styles {
		styles[i].Width *= size / around // as thick to the eye whatever the size
	}
	styles[draw.Registration].Color, styles[draw.Registration].Width = "#b2300a", 0.8*size/around
	return draw.WriteSVG(out, &draw.Drawing{
		ID: "finding", Title: titleOf(f.Code), Box: box, Parts: []draw.Part{drawn},
	}, draw.SVGOptions{Styles: &styles})
}
