// Package tolerance spreads the errors of making through a design: how far from
// what was drawn do things come out, which dimension matters most, and how many
// copies of a run are good.
//
// # Errors
//
// Pieces are glued, scored and cut a little off, and paper grows with the damp.
// Each such error is a cause: a direction in which numbers of the document
// change together, and a half-width h within which it stays. Causes are
// independent of each other, from copy to copy and on the two sides of a
// mechanism, so a side that the document leaves out as the mirror of the other
// is written out first.
//
// # Spreading
//
// To first order a measure y changes by the sum of c·e over the causes, c being
// its rate along the cause's direction, so its standard uncertainty is the root
// of the sum of (c·u)², with u = h/√3 for an error that may be anywhere within
// its half-width alike, h/√6 for one that is likelier near the middle (a
// triangle), and h/2 for one that follows the normal law and stays within h 95
// times in 100. Source: JCGM 100:2008, 4.3.7, 4.3.9 and 5.1.2.
//
// The same is done by trying: copies are drawn at random from a seed, each is
// solved, and what comes of it is counted. Source: JCGM 101:2008, 7.
//
// What a kind ties together stays tied: the panels of a strap are as wide as its
// offsets however it is glued, and a V-fold's apex stays on its fold.
package tolerance
