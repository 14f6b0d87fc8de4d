package pattern

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

func box(l *Label) []geom.Vec2 {
	r := newTextBox(l.At, TextWidth(l.Text, l.Height), l.Height, l.Angle)
	return r.corners()
}

func overlap(a, b []geom.Vec2) bool {
	for i := range a {
		for j := range b {
			if geom.SegmentDistance(a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]) == 0 {
				return true
			}
		}
	}
	return geom.PolygonContains(a, b[0]) || geom.PolygonContains(b, a[0])
}

// Every part bears its name and the letter of each of its joints, large enough
// to read, never on top of one another, and clear of every crease and cut.
func TestLettering(t *testing.T) {
	everyDesign(t, func(t rapid.TB, a *kinematics.Assembly, p *Pattern) {
		for i := range p.Parts {
			part := &p.Parts[i]
			count := map[string]int{}
			for k := range part.Labels {
				l := &part.Labels[k]
				count[l.Text]++
				if l.Height < MinLabelHeight || l.Height > DefaultOptions().LabelHeight {
					t.Errorf("%s: %q is %g mm high", part.ID, l.Text, l.Height)
				}
				if l.Angle <= -math.Pi/2-1e-6 || l.Angle > math.Pi/2+1e-6 {
					t.Errorf("%s: %q stands on its head, at %g degrees", part.ID, l.Text, l.Angle.Degrees())
				}
				for j := range k {
					if overlap(box(l), box(&part.Labels[j])) {
						t.Errorf("%s: %q and %q overlap", part.ID, l.Text, part.Labels[j].Text)
					}
				}
				for _, c := range part.Creases {
					if overlap(box(l), []geom.Vec2{c.From, c.To}) {
						t.Errorf("%s: %q is written across %s", part.ID, l.Text, c.ID)
					}
				}
				outline := part.Outline.Flatten(flatTolerance)[0]
				for j := range outline {
					if overlap(box(l), []geom.Vec2{outline[j], outline[(j+1)%len(outline)]}) {
						t.Errorf("%s: %q runs over the edge", part.ID, l.Text)
					}
				}
			}
			if count[part.Name] != 1 {
				t.Errorf("%s: named %d times", part.ID, count[part.Name])
			}
			for _, g := range part.Glue {
				text := g.Label
				if g.OnBack {
					text += onBackSuffix
				}
				if count[text] == 0 {
					t.Errorf("%s: no letter %q", part.ID, text)
				}
			}
		}
	})
}

// A letter that does not go into its area is beside it and nearer to it than to
// any other, however long the page and however many areas it has.
func TestLettersKeepToTheirAreas(t *testing.T) {
	var all []string
	for i := range 100 {
		all = append(all, fmt.Sprintf(`{"id":"pile_%d","kind":"parallel_fold","on":{"fold":"gutter"},"from":%d,"to":%d,
			"left":{"base_offset":%d,"panel_width":50}}`, i, 10+7*i, 16+7*i, 20+3*(i%5)))
	}
	_, p := cleanPattern(t, `{"spread":{"page_width":150,"page_height":720},"mechanisms":[`+strings.Join(all, ",")+`]}`)
	page := p.Part("page")
	outside := 0
	for _, l := range page.Labels {
		k := slices.IndexFunc(page.Glue, func(g GlueArea) bool { return g.Label == l.Text })
		if k < 0 {
			continue
		}
		own := page.Glue[k].Path.Bounds()
		if !own.Contains(l.At) {
			outside++
		}
		away := l.At.Sub(own.Center()).Norm()
		for _, g := range page.Glue {
			if d := l.At.Sub(g.Path.Bounds().Center()).Norm(); d < away {
				t.Errorf("%q is %g mm from its own area and %g from that of %q", l.Text, away, d, g.Label)
			}
		}
	}
	if outside == 0 {
		t.Error("every letter goes into its area, so nothing is tried")
	}
}

// A part too small for its name has it underneath.
func TestNameBelowASmallPart(t *testing.T) {
	_, p := cleanPattern(t, figureOn(`"outline":"M0 0 H4 V4 H0 Z"`))
	for _, l := range p.Part("lamp").Labels {
		if l.At.Y >= 0 {
			t.Errorf("%q is written at %v, in a part of 4 mm", l.Text, l.At)
		}
	}
}

func TestUpright(t *testing.T) {
	for _, row := range []struct{ x, y, degrees float64 }{
		{1, 0, 0}, {-1, 0, 0}, {0, 1, 90}, {0, -1, 90}, {-1, 1, -45}, {1, -1, -45}, {-1, -1, 45},
	} {
		approx(t, "angle", upright(geom.Vec2{X: row.x, Y: row.y}).Degrees(), row.degrees, 1e-9)
	}
}
