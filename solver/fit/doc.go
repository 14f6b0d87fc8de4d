// Package fit solves backwards: from what a design should do, or from what was
// measured on a mock-up of it, to the numbers of its document.
//
// # The problem
//
// Numbers p may vary. Conditions that are equalities (a mechanism keeps shutting
// flat, left stays equal to right, numbers are tied) are linear in p for every
// kind that has them, so they are not approached but solved: p = q + T·y with
// free numbers y, by elimination. With f(y) the measures of the goals, r their
// distances from the targets in tolerances, times the square root of the weight
// and 0 for a bound that is kept, and c(y) the conditions that are inequalities
// (bounds, inside the page, opens fully), what is sought is
//
//	least ½|r(y)|² + ½ρ²|(p - p₀)/scale|²   with   c(y) ≥ 0
//
// The second term is a weak pull to the present values: of many answers it picks
// the one that changes the design least. See pullOfGoals for its size.
//
// # The method
//
// Sequential quadratic programming with the Gauss-Newton matrix (J. Nocedal and
// S. Wright, Numerical Optimization, 2nd ed., 10.3 and 18; from memory). Each step
// s solves
//
//	least ½|r + J·s|² + ½μ|s|²   with   c + C·s ≥ 0
//
// with J and C the analytic rates of package measure. μ is adapted as Levenberg
// and Marquardt do; a step is taken when it lowers the exact penalty function
// ½|r|² + ν·Σ max(0, -c). Where c + C·s ≥ 0 cannot be had at once, the overshoot
// that is left is one more unknown, dear enough to be driven to nothing. The
// quadratic programs are least distance problems, solved by C. Lawson and R.
// Hanson, Solving Least Squares Problems (1974), chapter 23 (from memory).
//
// The search starts from the present values and from others around them, drawn
// with a seed. Answers that lie apart are alternatives.
//
// # Rounding
//
// An answer is put on the grid of the steps by searching points near it: the free
// numbers are on the grid and the others follow, so the equalities hold to the
// last digit, and points at which an inequality fails are passed over.
//
// # Units
//
// Numbers, targets and uncertainties are in the units of the document and in
// degrees here, as they stand in the document they are written back to; the work
// is done in mm and radians.
package fit
