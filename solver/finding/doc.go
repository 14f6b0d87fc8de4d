// Package finding holds what checks find: its form, its severity, and the one
// catalogue of codes with an explanation of each.
package finding
