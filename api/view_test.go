package api

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"testing"

	"foldwright/testdata/designs"
)

// Every example can be drawn in every way, twice the same.
func TestEveryExampleIsDrawn(t *testing.T) {
	p := &Pipeline{}
	width, stages := 120, 3
	for _, name := range designs.Names() {
		doc := exampleDocument(t, name)
		for what, row := range map[string]struct {
			options ViewOptions
			media   string
		}{
			"still":    {ViewOptions{Width: &width, Labels: true, Marks: true, Dimensions: []string{"height", "opening", "overhang"}}, MediaSVG},
			"pixels":   {ViewOptions{Width: &width}, MediaPNG},
			"moving":   {ViewOptions{Width: &width, Animated: true}, MediaSVG},
			"row":      {ViewOptions{Width: &width, Stages: &stages}, MediaSVG},
			"row, png": {ViewOptions{Width: &width, Stages: &stages}, MediaPNG},
		} {
			body, err := p.View(t.Context(), doc, row.options, row.media)
			if err != nil {
				t.Errorf("%s %s: %v", name, what, err)
				continue
			}
			if row.media == MediaSVG {
				err = xml.Unmarshal(body, new(struct{}))
			} else if picture, bad := png.Decode(bytes.NewReader(body)); bad != nil {
				err = bad
			} else if got := picture.Bounds().Dx(); got != width {
				t.Errorf("%s %s: %d px wide", name, what, got)
			}
			if err != nil {
				t.Errorf("%s %s: %v", name, what, err)
			}
			again, err := p.View(t.Context(), doc, row.options, row.media)
			if err != nil || !bytes.Equal(body, again) {
				t.Errorf("%s %s: not the same again (%v)", name, what, err)
			}
		}
	}
}

// What the contract lets through, the view package takes: each viewpoint and
// projection it names, and the widest picture.
func TestContractAgreesWithView(t *testing.T) {
	p := &Pipeline{}
	doc := exampleDocument(t, "quay")
	narrow := 32
	for _, viewpoint := range enumOf(t, "ViewpointName") {
		for _, projection := range enumOf(t, "ProjectionName") {
			if _, err := p.View(t.Context(), doc, ViewOptions{Viewpoint: viewpoint, Projection: projection, Width: &narrow}, MediaPNG); err != nil {
				t.Errorf("%s %s: %v", viewpoint, projection, err)
			}
		}
	}
	for _, dimension := range enumOf(t, "DimensionName") {
		if _, err := p.View(t.Context(), doc, ViewOptions{Dimensions: []string{dimension}}, MediaSVG); err != nil {
			t.Errorf("%s: %v", dimension, err)
		}
	}
	widest := 4096
	if _, err := p.View(t.Context(), doc, ViewOptions{Width: &widest}, MediaPNG); err != nil {
		t.Error(err)
	}
}
