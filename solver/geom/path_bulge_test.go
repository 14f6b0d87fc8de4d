package geom

import (
	"math"
	"testing"
)

// bulgeMeasures finds length and area from the bulges alone: an arc over a
// chord c has turn 4·atan(b), radius c/(2 sin(turn/2)), and adds the circular
// segment ½r²(turn - sin turn) to the polygon.
func bulgeMeasures(v []BulgeVertex, closed bool) (length, area float64) {
	for i, p := range v {
		if i == len(v)-1 && !closed {
			break
		}
		q := v[(i+1)%len(v)].Point
		c, turn := q.Sub(p.Point).Norm(), 4*math.Atan(p.Bulge)
		area += p.Point.Cross(q) / 2
		if turn == 0 {
			length += c
			continue
		}
		r := c / (2 * math.Sin(math.Abs(turn)/2))
		length += r * math.Abs(turn)
		area += r * r * (turn - math.Sin(turn)) / 2
	}
	return length, area
}

func TestBulgePolyline(t *testing.T) {
	rows := []struct {
		name, d  string
		vertices int
		tol      float64 // of length and area; 0 where bulges are exact
	}{
		{"page with round corners", "M4 0 H126 A4 4 0 0 1 130 4 V176 A4 4 0 0 1 126 180 H4 A4 4 0 0 1 0 176 V4 A4 4 0 0 1 4 0 Z", 8, 0},
		{"half circles", "M-5 0 A5 5 0 0 0 5 0 A5 5 0 0 0 -5 0 Z", 2, 0},
		{"three quarters", "M5 0 A5 5 0 1 1 0 -5 L0 0 Z", 4, 0},
		{"sail", "M0 0 C5 20 15 25 20 30 Q25 10 20 0 Z", 0, 0.02},
	}
	for _, r := range rows {
		p := mustPath(t, r.d)
		v := p[0].BulgePolyline(0.001)
		length, area := bulgeMeasures(v, true)
		if !near(length, p.Length(), r.tol+1e-9) || !near(area, p.Area(), r.tol*5+1e-9) {
			t.Errorf("%s: length %.9f area %.9f, want %.9f %.9f", r.name, length, area, p.Length(), p.Area())
		}
		if r.vertices > 0 && len(v) != r.vertices {
			t.Errorf("%s: %d vertices, want %d", r.name, len(v), r.vertices)
		}
	}
	open := mustPath(t, "M0 0 A5 5 0 0 1 10 0")
	v := open[0].BulgePolyline(0.001)
	if len(v) != 2 || !near(v[0].Bulge, 1, 1e-12) || v[1].Bulge != 0 {
		t.Errorf("an anticlockwise half turn has bulge 1: %v", v)
	}
}
