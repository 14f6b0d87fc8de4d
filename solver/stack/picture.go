package stack

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Measures of the picture, mm: it is true to size.
const (
	pictureMargin = 6.0
	keyWidth      = 56.0 // of the list of piles
	keyStep       = 6.0
	lettering     = 3.4
	maxKeys       = 14
)

// ramp are the ends of the colours from thin to thick: lightness alone tells
// them apart, so they hold for every eye and in grey.
var ramp = [2][3]float64{{244, 240, 230}, {30, 58, 84}}

// WriteSVG draws the map of a shut page, darker where more lies, with the
// thickest place and a list of the piles.
func WriteSVG(w io.Writer, d *design.Design, r *Result) error {
	box := geom.EmptyBox().Extend(geom.Vec2{}).Extend(geom.Vec2{X: d.Spread.PageWidth, Y: d.Spread.PageHeight})
	for i := range r.Map {
		box = box.Union(r.Map[i].Area.Bounds())
	}
	size := box.Size()
	width := size.X + keyWidth + 3*pictureMargin
	height := max(size.Y, keyStep*(maxKeys+2)) + 2*pictureMargin
	// Up the page is up the picture.
	place := geom.Placement{C: 1, Mirror: true, T: geom.Vec2{X: pictureMargin - box.Min.X, Y: pictureMargin + box.Max.Y}}

	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%smm" height="%smm" role="img">`+"\n",
		millimetres(width), millimetres(height), millimetres(width), millimetres(height))
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(strings.TrimPrefix(d.Title+", shut: thickness", ", ")))
	b.WriteString(`<rect width="100%" height="100%" fill="#fff"/>` + "\n" + `<g stroke="#5c5448" stroke-width="0.15" stroke-linejoin="round" fill-rule="evenodd">` + "\n")
	for i := range r.Map {
		region := &r.Map[i]
		fmt.Fprintf(&b, `<path data-layers="%d" data-films="%d" fill="%s" d="%s"><title>%s</title></path>`+"\n",
			region.Layers, region.Films, shade(r, region.Thickness), geom.FormatPath(region.Area.Transform(place), 3), escaped(pileText(d, &region.Pile)))
	}
	b.WriteString("</g>\n")
	writeThickest(&b, r, place)
	writeKeys(&b, d, r, size.X+2*pictureMargin)
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// writeThickest marks the thickest place by a ring that shows on dark and light.
func writeThickest(b *strings.Builder, r *Result, place geom.Placement) {
	at := place.Apply(flat(r.Thickest.Point))
	for _, ring := range [2][2]string{{"#fff", "1.1"}, {"#b3402a", "0.6"}} {
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="2.2" fill="none" stroke="%s" stroke-width="%s"/>`+"\n", millimetres(at.X), millimetres(at.Y), ring[0], ring[1])
	}
}

// writeKeys lists the piles, the thickest first; of too many, some of them evenly.
func writeKeys(b *strings.Builder, d *design.Design, r *Result, left float64) {
	fmt.Fprintf(b, `<g font-family="sans-serif" font-size="%s" fill="#3a3e42">`+"\n", millimetres(lettering))
	count := min(len(r.Map), maxKeys)
	for k := range count {
		region := &r.Map[k*(len(r.Map)-1)/max(count-1, 1)]
		y := pictureMargin + keyStep*float64(k)
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="6" height="4" fill="%s" stroke="#5c5448" stroke-width="0.15"/>`,
			millimetres(left), millimetres(y), shade(r, region.Thickness))
		fmt.Fprintf(b, `<text x="%s" y="%s">%s</text>`+"\n", millimetres(left+8), millimetres(y+lettering), escaped(pileText(d, &region.Pile)))
	}
	b.WriteString("</g>\n")
}

func pileText(d *design.Design, p *Pile) string {
	text := fmt.Sprintf("%s: %d layers", d.Show(math.Round(p.Thickness*100)/100), p.Layers)
	if p.Layers == 1 {
		text = strings.TrimSuffix(text, "s")
	}
	if p.Films > 0 {
		text += fmt.Sprintf(", %d of glue", p.Films)
	}
	return text
}

// shade is the colour of a thickness, between the least and the most of the map.
func shade(r *Result, thickness float64) string {
	most, least := r.Map[0].Thickness, r.Map[len(r.Map)-1].Thickness
	t := 0.0
	if most > least {
		t = (thickness - least) / (most - least)
	}
	var c [3]int
	for i := range c {
		c[i] = int(math.Round(ramp[0][i] + (ramp[1][i]-ramp[0][i])*t))
	}
	return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2])
}

func millimetres(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64)
}

func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a builder takes everything
	return b.String()
}
