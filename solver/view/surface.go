package view

import (
	"foldwright/solver/geom"
	"foldwright/solver/raster"
)

// surface is what a picture is drawn on: the text of an SVG, or pixels.
// Coordinates are px, x right and y down. What is drawn later lies on top.
type surface interface {
	// open starts a picture of a size. An empty background is transparent.
	open(width, height float64, title, background string)
	close()
	// beginPaper starts the paper of a picture, whose edges are lines of the
	// given width.
	beginPaper(edges float64)
	endPaper()
	// beginSheet starts one piece of paper: a sort of thing and its name.
	beginSheet(sort, id string)
	endSheet()
	// fill paints rings by the even-odd rule.
	fill(rings [][]geom.Vec2, ink rgb)
	// stroke draws lines; a width of 0 is that of edges.
	stroke(lines []raster.Line, ink rgb, width float64)
	// shadow darkens the part of a page that is in the shadow of any of the
	// shapes. id is free for its definitions.
	shadow(id string, page [][]geom.Vec2, shapes [][][]geom.Vec2, blur float64)
	write(how *lettering, texts []label)
}

// lettering is how texts are written.
type lettering struct {
	size   float64 // px
	ink    rgb
	anchor raster.Anchor
	halo   bool // sets the text off from what it lies on
}

// label is a text at a point of its base line.
type label struct {
	at   geom.Vec2
	text string
}

// The halo round texts.
const (
	haloWidth   = 3.0 // px, in all
	haloOpacity = 0.75
)
