// Package vary sweeps one or two measurements of a design over a range and tells
// what becomes of measures and findings, to see by eye what a number does.
package vary
