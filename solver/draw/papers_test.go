package draw

import (
	"math"
	"slices"
	"testing"

	"foldwright/solver/geom"
)

// The main series of ISO 216 and 217 halve the longer side, rounded down.
func TestPapersHalve(t *testing.T) {
	all := Papers()
	index := func(name string) Paper {
		p, ok := FindPaper(name)
		if !ok {
			t.Fatalf("no paper %s", name)
		}
		return p
	}
	for _, series := range [][]string{
		{"A0", "A1", "A2", "A3", "A4", "A5", "A6"}, {"B0", "B1", "B2", "B3", "B4", "B5", "B6"},
		{"RA0", "RA1", "RA2", "RA3", "RA4"}, {"SRA0", "SRA1", "SRA2", "SRA3", "SRA4"},
	} {
		for i := 1; i < len(series); i++ {
			large, small := index(series[i-1]), index(series[i])
			if small.Height != large.Width || small.Width != math.Floor(large.Height/2) {
				t.Errorf("%s is %g by %g, half of %g by %g", small.Name, small.Width, small.Height, large.Width, large.Height)
			}
		}
	}
	if a0, b0 := index("a0"), index("b0"); math.Abs(a0.Width*a0.Height-1e6) > 500 || math.Abs(b0.Height/b0.Width-math.Sqrt2) > 1e-3 {
		t.Error("A0 is a square metre and B0 stands as √2 to 1, 1 m wide")
	}
	for _, p := range all {
		if p.Width > p.Height || p.Source == "" || slices.IndexFunc(all, func(q Paper) bool { return q.Name == p.Name }) != slices.Index(all, p) {
			t.Errorf("%+v", p)
		}
	}
	if _, ok := FindPaper("tarpaulin"); ok {
		t.Error("an unknown paper must not be found")
	}
}

func TestTileDrawing(t *testing.T) {
	area := geom.Box2{Min: v(10, 30), Max: v(200, 287)} // 190 by 257
	for _, r := range []struct{ wide, high, rows, columns float64 }{
		{190, 257, 1, 1},
		{190.001, 257, 1, 2},
		{190 + 180, 257 + 247, 2, 2}, // one step of window less overlap more
		{190 + 180.001, 257 + 2*247, 3, 3},
		{1, 1, 1, 1},
	} {
		box := geom.Box2{Min: v(-7, 3), Max: v(-7+r.wide, 3+r.high)}
		g, err := tileDrawing(box, v(210, 297), area, 10)
		if err != nil {
			t.Fatal(err)
		}
		if float64(g.rows) != r.rows || float64(g.columns) != r.columns || len(g.tiles) != g.rows*g.columns {
			t.Errorf("%g by %g: %d rows, %d columns", r.wide, r.high, g.rows, g.columns)
		}
		cover := geom.EmptyBox()
		for _, s := range g.tiles {
			cover = cover.Union(s.window)
		}
		// Centred: as much to spare left as right, above as below.
		if cover.Center().Sub(box.Center()).Norm() > 1e-9 || cover.Min.X > box.Min.X+1e-6 || cover.Max.Y < box.Max.Y-1e-6 {
			t.Errorf("%g by %g: windows cover %v", r.wide, r.high, cover)
		}
		if g.tiles[0].row != 1 || g.tiles[0].column != 1 || g.tiles[0].window.Max.Y != cover.Max.Y {
			t.Error("row 1 is at the top")
		}
	}
}
