// Package pattern turns an assembly into the flat parts it is made from: their
// outlines with glue tabs, slots, creases, glue marks and labels, and one
// drawing of them all.
//
// # Coordinates
//
// Every part has coordinates of its own, in mm, y up, seen from its printed
// face. The spread is seen as it lies open: x across with the left page
// negative, y up, the gutter along y from the origin. A mechanism has its first
// ridge along y from the origin. A figure has v of its own frame along y.
//
// # Sheets
//
// The panels of a mechanism hang together by its folds as far as they lie flat:
// a sheet has two panels along a line and no closed ring. The folds left over
// are glued like base lines. Panels cut from their host lie in the host's part. A
// panel that a hinge turns over is seen from its reverse.
//
// # Creases
//
// A crease is a valley when the paper folds towards the side its part shows and a
// mountain when it folds away, by the dihedral over all that is reached; a
// Problem tells of a fold that passes flat, for which no one score is right.
//
// # Printed faces
//
// The printed face of a page is the one the reader sees. That of a mechanism's
// panel is the one seen from outside the mechanism, which is the working side
// of its base fold; a figure's lies the same way as the printed face it is
// fixed to. Panel coordinates (u, v) are not always seen the right way round
// from there: of the left and right panel of one mechanism, and of the two
// pages, one is seen mirrored.
//
// # Joints
//
// A joint fixes one part to another: a base line with its tab, or a figure.
// Every joint has a letter, which is written on both parts. A tab keeps to its
// own side of every crease of its host, a millimetre off: common practice. A tab
// through a slot can lock behind it by shoulders (lock.go), and the ends of its
// crease be relieved (relief.go).
//
// # Worked by hand
//
// A disc lies behind its host, on the reverse of the printed face, as do the
// strip of a slide and the strip and link of an arm; the host shows what lies
// there by its name and "rev". Pivots are hubs of paper, cut with the rest, where
// the hole is 3.3 mm or more; a smaller one takes a pin. Cuts for them keep the
// least web from edges and other cuts, or a Problem says how far to move.
package pattern
