package view

import (
	"math"

	"foldwright/solver/geom"
)

// rgb is a colour, 0 to 255.
type rgb struct{ r, g, b float64 }

func (c rgb) mix(d rgb, t float64) rgb {
	return rgb{c.r + (d.r-c.r)*t, c.g + (d.g-c.g)*t, c.b + (d.b-c.b)*t}
}

// hex is the colour as #rrggbb.
func (c rgb) hex() string {
	const digits = "0123456789abcdef"
	out := []byte{'#'}
	for _, v := range [3]float64{c.r, c.g, c.b} {
		n := uint8(math.Round(min(max(v, 0), 255)))
		out = append(out, digits[n>>4], digits[n&15])
	}
	return string(out)
}

// tone is one side of a sheet in full light and turned away from it.
type tone struct{ light, dark rgb }

// The palette: warm whites that lean to sand in the shade for what is printed,
// cool greys for the backs, so that a fold shows which way it turns.
var (
	pagePaper    = tone{rgb{250, 245, 234}, rgb{190, 176, 154}}
	coverPaper   = tone{rgb{176, 186, 190}, rgb{112, 124, 132}}
	panelPaper   = tone{rgb{255, 254, 250}, rgb{186, 178, 168}}
	reversePaper = tone{rgb{226, 229, 228}, rgb{150, 158, 163}}
	figurePaper  = tone{rgb{249, 229, 212}, rgb{190, 160, 142}}
	newPaper     = tone{rgb{255, 208, 104}, rgb{204, 148, 52}} // of what is emphasised
	stripPaper   = tone{rgb{214, 226, 214}, rgb{146, 164, 150}}
	edgeInk      = rgb{92, 84, 76}
	creaseInk    = rgb{168, 156, 142}
	labelInk     = rgb{58, 62, 66}
	captionInk   = rgb{110, 106, 100}
	shadowInk    = rgb{88, 74, 58}
)

// Widths of lines, px, in a picture of the default width.
const (
	edgeWidth   = 0.9
	creaseWidth = 0.6
	// emphasisedEdge tells an emphasised piece apart where no colours are seen.
	emphasisedEdge = 2
	seamWidth      = 0.8 // covers the hairline two anti-aliased sides leave
)

// lineScale makes lines finer in small pictures, but less so than the picture:
// a line below half a px only fades.
func lineScale(width float64) float64 {
	return min(max(math.Sqrt(width/DefaultWidth), 0.65), 2)
}

// light points to the lamp: above, over the reader's left shoulder.
var light = geom.Vec3{X: -0.48, Y: -0.42, Z: 0.77}.Unit()

// shade is the colour of the side of the face the eye sees.
func (s *scene) shade(f *face) rgb {
	n, printed := f.normal, f.printed > 0
	if s.eye.side(f.frame.Origin, n) < 0 {
		n, printed = n.Neg(), !printed
	}
	p := panelPaper
	switch page := s.isPage(f); {
	case f.look == Emphasised:
		p = newPaper
	case f.panel == noPanel:
		p = stripPaper
	case page && printed:
		p = pagePaper
	case page:
		p = coverPaper
	case !printed:
		p = reversePaper
	case isFigure(s.a, f.panel):
		p = figurePaper
	}
	// Paper lets light through and is lit by the paper around it, so a face
	// turned away is not black: light falls off over the whole half turn.
	lit := 0.5 + 0.5*n.Dot(light)
	return p.dark.mix(p.light, math.Pow(lit, 0.8))
}

// shadowOn is the direction along which mechanisms throw their shadows on a
// page: halfway between the light and the page's normal, so that the shadow
// stays near the foot of things on a page that is nearly edge-on to the light.
func shadowOn(printedNormal geom.Vec3) geom.Vec3 { return light.Add(printedNormal).Unit() }

// castOn gives the rings of a face's shadow in the coordinates of a page, only
// of the part on the printed side of it. nil when it casts none.
func (s *scene) castOn(page, f *face) [][]geom.Vec2 {
	p := page.plane()
	n := page.normal.Mul(page.printed)
	along := shadowOn(n)
	line := f.cutBy(plane{n, page.printed * p.c})
	var out [][]geom.Vec2
	for _, ring := range f.whole.rings {
		clipped := clipRing(ring, &line, s.tolerance, before)
		if clipped == nil {
			continue
		}
		shadow := make([]geom.Vec2, len(clipped))
		for i, c := range clipped {
			at := f.frame.At(c.at)
			foot := at.Sub(along.Mul(line.distance(c.at) / along.Dot(n)))
			local := page.frame.Local(foot)
			shadow[i] = geom.Vec2{X: local.X, Y: local.Y}
		}
		out = append(out, shadow)
	}
	return out
}
