// Package layout nests flat outlines on sheets or on a strip, and orders what
// is to be cut on each of them.
//
// # Coordinates
//
// Lengths are millimetres, y up. A sheet has its origin at its lower left
// corner. A strip has a fixed width along y and runs along x from 0. A
// placement turns an item about the origin of its own outline and then moves
// it.
//
// # Method
//
// Outlines are divided into convex pieces (convex.go), on request after rounding
// them outward (simplify.go). The no-fit polygon of
// two outlines, the set of offsets at which they overlap, is the union of the
// Minkowski sums of their pieces; only its boundary is wanted, and the union is
// never built (nfp.go). A layout starts from a bottom-left fill (fill.go) and
// is squeezed by overlap minimisation: parts may overlap, and the weighted sum
// of their penetration depths is brought to nothing by moving one part at a
// time, the weights growing on the pairs that stay in each other's way
// (search.go, separate.go), and by moving all of them together (relax.go).
// Every layout that is kept has been checked by other means (verify.go).
//
// Sources, all from memory: guided local search for nesting by Egeblad, Nielsen
// and Odgaard, European Journal of Operational Research 183 (2007); penetration
// depth by no-fit polygons, Umetani et al., International Transactions in
// Operational Research 16 (2009); separation of all parts at once by a
// quasi-Newton method, Imamichi, Yagiura and Nagamochi, Discrete Optimization 6
// (2009); weights that grow by factors and fade, and new starts from the nearest
// misses with two parts exchanged, Gardeyn, Vanden Berghe and Wauters, arXiv
// 2509.13329 (2025).
//
// The package has no clock: the caller's Stop ends a run, or the iterations
// do. The same input, seed and iterations give the same layout.
package layout
