package view

import "testing"

// A ridge is a crease while both panels are seen, and an outline once one of
// them is behind the other.
func TestRidgesSeenEdgeOnAreOutlines(t *testing.T) {
	a := compile(t, spread(`{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":50,"to":80,"left":{"base_offset":20,"panel_width":34}}`))
	for _, c := range []struct {
		viewpoint Viewpoint
		opening   float64
		want      edge
	}{
		{Top, 120, crease},
		{Left, 120, paperEdge},
	} {
		s := sceneFrom(t, a, c.opening, Camera{Viewpoint: c.viewpoint})
		for _, id := range []string{"quay.left", "quay.right"} {
			// The third side runs along the ridge, the first along the base line.
			ring := s.faces[a.PanelIndex(id)].whole.rings[0]
			if got := ring[2].side; got != c.want {
				t.Errorf("%s: the ridge of %s is %d, want %d", c.viewpoint, id, got, c.want)
			}
			if got := ring[0].side; got != crease {
				t.Errorf("%s: the base line of %s is %d, want a crease", c.viewpoint, id, got)
			}
			if got := ring[1].side; got != paperEdge {
				t.Errorf("%s: the end of %s is %d, want an edge of the paper", c.viewpoint, id, got)
			}
		}
	}
}
