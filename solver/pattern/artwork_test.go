package pattern

import (
	"math"
	"testing"

	"foldwright/solver/draw"
	"foldwright/solver/geom"
)

// What is printed on a figure is drawn on it at true size, as artwork and not as a
// cut. Source: a square of 6 has 24 of lines, and its middle is 10 and 12 from
// the corner of the figure.
func TestArtworkIsPrinted(t *testing.T) {
	p := mustMake(t, assembly(t, `{"spread":{"page_width":130,"page_height":180},"mechanisms":[
		{"id":"lamp","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0H20V24H0Z","artwork":"M7 9h6v6h-6z","place":{"u":40,"v":60,"rotate":20}}]}`), DefaultOptions())
	part := p.Part("lamp")
	if got := part.Artwork.Length(); math.Abs(got-24) > 1e-9 {
		t.Errorf("%g of lines, want 24", got)
	}
	middle, corner := part.Artwork.Bounds(), part.Bounds()
	at := middle.Min.Lerp(middle.Max, 0.5).Sub(corner.Min)
	if at.Sub(geom.Vec2{X: 10, Y: 12}).Norm() > 1e-9 {
		t.Errorf("it is at %v of the figure", at)
	}
	for _, m := range part.Drawing().Marks {
		if m.ID == "artwork" && m.Op == draw.Print {
			return
		}
	}
	t.Error("it is not drawn as what is printed")
}
