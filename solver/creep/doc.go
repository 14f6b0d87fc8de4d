// Package creep gives panels the room that layers between them need when the
// pages are shut.
//
// # The rule
//
// Shut, the two panels of a parallel fold or a V-fold lie on each other, joined
// in their ridge. Where other panels lie between them, n layers of caliper c, the
// two must go round a pile of h = n c. Let the pile end a distance d short of the
// ridge. Each panel then runs from the pile's face, h/2 off the middle, to the
// ridge, which is not d but
//
//	sqrt(d² + (h/2)²)
//
// long, so each panel needs the factor times
//
//	e = sqrt(d² + (h/2)²) - d
//
// more: h/2 where the pile reaches the ridge, next to nothing where it ends a few
// millimetres short. Derived here. A factor of 1 has paper turn square corners;
// round ones take up to π/2. Binders allow from one to nearly two thicknesses for
// each sheet that lies within others (common practice), so the factor is a
// setting.
//
// Parallel folds have both panel widths larger by e. V-folds have both panel
// angles larger by e / r, r the distance from the apex to where the pile comes
// nearest to the ridge, but half the ridge at least: nearer to the apex a
// thickness would become degrees. Both sides change alike, so that the condition for
// shutting flat holds as before: a1 + p1 = a2 + p2, or a1 ± b1 = a2 ± b2. Kinds
// whose panels are held to one another or cut from their host stay as they are:
// they shut only with the lengths they have. Only panels count as layers.
package creep
