// Package stack judges the shut page by its layers: which piece of paper lies
// above which, whether they can lie so at all, and how thick the pile is.
//
// # Coordinates
//
// With the pages shut everything lies in the plane x = 0 of the world. A place
// in it is (z, y): X runs from the gutter to the fore edge, Y up the gutter, as
// seen from outside the left page. Layers are counted from the left page to the
// right one, in the sense of the world's x; "above" means nearer to the right
// page.
//
// # Order
//
// Just before the pages meet, every piece is a plane whose distance from the
// middle is, to first order in the opening, linear over its area: the rate of
// its pose at shut. Of two pieces that overlap the one that is further right
// all over the overlap lies above (compare.go). Where their distance changes
// sign inside the overlap they would have to pass through each other; where it
// vanishes they move alike, and the same is asked of a pose a little open.
// Pieces that do not part even then are ordered as they are made: what is fixed
// to a panel lies on the side it is fixed to, tabs next to the panel (making.go).
//
// Paper that is joined along a crease must lie so that nothing passes through
// the crease: the conditions of flat folding, of two creases in one place and
// of a layer across a crease (Justin, Towards a mathematical theory of origami,
// 1997; Bern and Hayes, The complexity of flat origami, 1996; named taco-taco
// and taco-tortilla by Akitaya, Mitani and others; all from memory), are held
// against the order (crease.go). Where the order of making breaks one, another
// order of the pieces that move alike is searched for (puzzle.go). To decide
// whether there is one is NP-hard (Bern and Hayes), so the search is bounded and
// may leave pieces undecided.
//
// # Thickness
//
// The outlines of all pieces and of all glued areas cut the page up into
// regions with a number of layers and of films of glue each (thickness.go).
package stack
