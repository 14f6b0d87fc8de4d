// Package clearance judges the motion of a design: whether it shuts, opens and
// stays inside the page, naming what is wrong, by how much and where.
package clearance
