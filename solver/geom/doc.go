// Package geom holds the geometry everything else is built from: vectors,
// angles, rigid frames in space, similarity placements in the plane, and paths
// made of lines, arcs and Bézier curves.
//
// Lengths are millimetres and angles radians throughout. The package knows
// nothing of paper.
package geom
