// Package collide tells whether pieces of paper pass through each other: at one
// opening, and over the whole range of a driver with proof.
//
// # Pieces
//
// A piece is flat, rigid and has no thickness: a panel less its openings, or a
// straight part of a strip that runs free of any panel. Curved outlines count as
// the chords they are flattened to. Glue tabs lie on their host, rigid with it
// and inside its outline, so they add nothing to what can meet.
//
// # Passing through
//
// Two pieces pass through each other where they have a segment in common that
// has paper of both on both sides of it. An edge on a face, a shared crease or
// apex is no such segment. The depth is the least distance by which one of them
// would have to be moved, without turning, to come clear of the other: how far
// the lesser side reaches through. Pieces in one plane are layers, whose order is
// no matter of this package.
//
// What slides or turns on the face of a panel may not glide over a base line there
// either, though what stands on it has only its edge in the glider's plane
// (sweeper.glide): paper that is glued along a line lets nothing by.
//
// Contact that exists by construction needs no exception. It is on the outline
// of one of the pieces, and the verdict is about what is inside both. The one
// tolerance, Rounding, is the noise of coordinates.
//
// # Proof over a range
//
// A sweep divides the range of a driver into intervals. In each it encloses how far
// every joint moves (kinematics.Ranges), bounds by that how far corners stray from
// where they are in the middle, and looks for a plane, fixed in some panel's frame,
// that keeps the corners of one piece on one side and of the other on the other.
// Intervals that give no such plane are divided, the earlier half first, until one is
// found, or a contact, or the resolution is reached and the interval is told as
// undecided. What is not proved is never taken for clear.
//
// Pairs that cannot run into each other whatever moves are left out (Bodies.know):
// layers of one plane, and pieces beside one fold. Folds are held instead to a
// dihedral between 0 and a full turn.
//
// Near shut all distances shrink in proportion to the opening, and so do the
// intervals; they end where the pages are a sheet's thickness apart (Bodies.smallest),
// and the layers there are for package stack to judge. Likewise what lies flush when
// the spread is flat comes to touch at the very end: the last interval, in which it
// moves by less than a sheet is thick, is looked at instead of proved.
package collide
