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
// Contact that exists by construction needs no exception. It is on the outline
// of one of the pieces, and the verdict is about what is inside both. The one
// tolerance, Rounding, is the noise of coordinates.
package collide
