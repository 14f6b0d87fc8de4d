package api

import (
	"bytes"
	"errors"
	"fmt"

	"foldwright/solver/design"
	"foldwright/solver/draw"
)

// DrawingOptions say how a drawing is made ready for a machine and written,
// whatever it shows, with lengths in the design's units; nil is the default.
type DrawingOptions struct {
	Style  *DrawingStyle
	Layers *DrawingLayers
	Paper  *DrawingPaper // of a PDF
	Kerf   *float64
	Scores *DrawingScores
}

// queryDrawing is the options of a GET: a ready style, and paper by its name.
func queryDrawing(style *StyleName, layers *DrawingLayers, kerf *float64, scores *ScoresName,
	paper *PaperName, held *PaperOrientation, margin, overlap *float64) DrawingOptions {
	o := DrawingOptions{Layers: layers, Kerf: kerf}
	if scores != nil {
		o.Scores = &DrawingScores{As: scores}
	}
	if style != nil {
		o.Style = &DrawingStyle{Base: style}
	}
	if paper != nil || held != nil || margin != nil || overlap != nil {
		o.Paper = &DrawingPaper{Name: paper, Orientation: held, Margin: margin, Overlap: overlap}
	}
	return o
}

// drawingWriter is checked DrawingOptions.
type drawingWriter struct {
	styles draw.StyleTable
	layers []draw.Operation // nil for all
	pdf    draw.PDFOptions
}

var scoresByName = map[ScoresName]draw.Scores{ScoresNameScore: draw.Scored, ScoresNamePerforate: draw.Perforated, ScoresNameHalfCut: draw.HalfCut}

// finish is what a drawing goes through; its error is one of the request.
func (o *DrawingOptions) finish(units design.Units) (f draw.Finish, err error) {
	length := func(from *float64) float64 {
		if from == nil {
			return 0
		}
		return *from * units.PerUnit()
	}
	f.Kerf = length(o.Kerf)
	if s := o.Scores; s != nil {
		f.Dash.Cut, f.Dash.Tie = length(s.Cut), length(s.Tie)
		if s.As != nil {
			f.Scores = scoresByName[*s.As]
		}
	}
	return f, drawingRefused(f.Check())
}

// writer checks the options for a file of a media type.
func (o *DrawingOptions) writer(d *design.Design, media string) (w drawingWriter, err error) {
	finish, err := o.finish(d.Units)
	if err != nil {
		return w, err
	}
	if w.styles, err = styleTable(o.Style, &finish); err != nil {
		return w, err
	}
	if w.layers, err = shownLayers(o.Layers); err != nil {
		return w, err
	}
	if o.Paper != nil && media != MediaPDF {
		return w, &optionFault{givenOf(o.Paper), NotAllowed, "only a PDF has sheets; ask for " + MediaPDF}
	}
	w.pdf, err = onPaper(o.Paper, d)
	return w, err
}

func (w *drawingWriter) write(d *draw.Drawing, media string) ([]byte, error) {
	d = w.shown(d)
	var out bytes.Buffer
	var err error
	switch media {
	case MediaSVG:
		err = draw.WriteSVG(&out, d, draw.SVGOptions{Styles: &w.styles})
	case MediaDXF:
		err = draw.WriteDXF(&out, d, draw.DXFOptions{Styles: &w.styles})
	case MediaPDF:
		w.pdf.Styles = &w.styles
		err = draw.WritePDF(&out, d, w.pdf)
	default:
		err = fmt.Errorf("api: no writer for %s", media)
	}
	return out.Bytes(), drawingRefused(err)
}

// shown is what is asked for of a drawing.
func (w *drawingWriter) shown(d *draw.Drawing) *draw.Drawing {
	if w.layers == nil {
		return d
	}
	return draw.Only(d, w.layers)
}

// writeSheets writes drawings that are whole sheets: as pages of their size, or
// the only one.
func (w *drawingWriter) writeSheets(sheets []*draw.Drawing, media string) ([]byte, error) {
	if media != MediaPDF {
		return w.write(sheets[0], media)
	}
	pages := make([]*draw.Drawing, len(sheets))
	for i := range sheets {
		pages[i] = w.shown(sheets[i])
	}
	var out bytes.Buffer
	err := draw.WritePDFPages(&out, pages, draw.PDFOptions{Styles: &w.styles})
	return out.Bytes(), drawingRefused(err)
}

var orientations = map[PaperOrientation]draw.Orientation{
	PaperOrientationAuto: draw.AutoOrientation, PaperOrientationPortrait: draw.Portrait, PaperOrientationLandscape: draw.Landscape,
}

// The ranges of what sheets measure, mm. The least side leaves a scale bar room
// between margins; the greatest is that of a page in the format.
const (
	minPaper, maxPaper       = 63.5, 5000.0
	minPaperRim, maxPaperRim = 1.0, 100.0
)

// onPaper is the sheets asked for: nil for one page as large as the drawing.
func onPaper(asked *DrawingPaper, d *design.Design) (o draw.PDFOptions, err error) {
	o.Notes = true
	if asked == nil {
		return o, nil
	}
	if asked.Orientation != nil {
		o.Orientation = orientations[*asked.Orientation]
	}
	length := func(name string, from *float64, least, most float64) (mm float64) {
		if from == nil {
			return 0
		}
		if mm = *from * d.Units.PerUnit(); err == nil && !(mm >= least && mm <= most) {
			err = &optionFault{"paper/" + name, OutOfRange, fmt.Sprintf("must be from %s to %s", d.Show(least), d.Show(most))}
		}
		return mm
	}
	size := draw.Paper{Width: length("width", asked.Width, minPaper, maxPaper), Height: length("height", asked.Height, minPaper, maxPaper)}
	o.Margin = length("margin", asked.Margin, minPaperRim, maxPaperRim)
	o.Overlap = length("overlap", asked.Overlap, minPaperRim, maxPaperRim)
	if err != nil {
		return o, err
	}
	own := asked.Width != nil && asked.Height != nil
	switch {
	case asked.Name != nil && asked.Width == nil && asked.Height == nil:
		named, known := draw.FindPaper(string(*asked.Name))
		if !known {
			return o, &optionFault{"paper/name", NotAllowed, "there is no such sheet size"}
		}
		size = named
	case asked.Name == nil && asked.Width == nil && asked.Height == nil:
		return o, &optionFault{"paper/name", Missing, "give a name, or width and height"}
	case asked.Name != nil || !own:
		return o, &optionFault{"paper", NotAllowed, "give a name, or width and height"}
	}
	o.Paper = &size
	return o, nil
}

// givenOf names an option that asks for sheets.
func givenOf(asked *DrawingPaper) string {
	switch {
	case asked.Name != nil || asked.Width != nil || asked.Height != nil:
		return "paper"
	case asked.Orientation != nil:
		return "paper/orientation"
	case asked.Margin != nil:
		return "paper/margin"
	case asked.Overlap != nil:
		return "paper/overlap"
	default:
		return "paper"
	}
}

// drawingFields are the options of a request by those of the draw package.
var drawingFields = map[string]string{
	"paper": "paper", "margin": "paper/margin", "overlap": "paper/overlap",
	"kerf": "kerf", "cut": "scores/cut", "tie": "scores/tie",
}

// drawingRefused turns what the writers refuse into an option of the request.
func drawingRefused(err error) error {
	if refused, ok := errors.AsType[*draw.OptionError](err); ok {
		return &optionFault{drawingFields[refused.Field], OutOfRange, refused.Reason}
	}
	return err
}
