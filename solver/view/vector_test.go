package view

import (
	"strings"
	"testing"
)

var oneTent = spread(`{"id":"quay","kind":"parallel_fold","on":{"fold":"gutter"},"from":20,"to":70,"left":{"base_offset":30,"panel_width":50}}`)

// TestDrawShowsWhatRenderDoes draws the same shapes as the SVG has, in its frame.
func TestDrawShowsWhatRenderDoes(t *testing.T) {
	a := compile(t, oneTent)
	p := posed(a, 120)
	o := Options{Width: 300, Labels: true}
	pic, err := Draw(a, p, o)
	if err != nil {
		t.Fatal(err)
	}
	svg := render(t, a, 120, o)
	paths, words := 0, 0
	for i := range pic.Shapes {
		if pic.Shapes[i].Words != nil {
			words++
		} else {
			paths++
		}
	}
	// Behind each word is a plate.
	if want := strings.Count(svg, "<path"); paths != want+words || words != strings.Count(svg, "<text") {
		t.Errorf("%d paths and %d words, %d in the SVG", paths, words, want)
	}
	if pic.Width != 300 || !strings.Contains(svg, pic.Title) {
		t.Errorf("the frame is %g wide and titled %q", pic.Width, pic.Title)
	}
}

// TestLooks hides pages and emphasises a panel.
func TestLooks(t *testing.T) {
	a := compile(t, oneTent)
	svg := render(t, a, 120, Options{Look: func(sheet string) Look {
		switch {
		case strings.HasPrefix(sheet, "page"):
			return Hidden
		case strings.HasSuffix(sheet, ".left"):
			return Emphasised
		}
		return Plain
	}})
	if strings.Contains(svg, `data-panel="page`) || strings.Count(svg, "data-panel=") != 2 {
		t.Errorf("shown: %s", svg)
	}
	if strings.Count(svg, `stroke-width="2"`) != 1 { // emphasisedEdge
		t.Errorf("one heavy edge expected: %s", svg)
	}
}
