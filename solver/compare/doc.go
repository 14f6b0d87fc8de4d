// Package compare tells what changed between two versions of a design: in what
// can be measured of it, in what checks find, and in the parts that are cut.
//
// Things are the same thing where they have the same name, so a mechanism that
// is renamed is one gone and one new.
package compare

// Change is what became of a thing.
type Change string

const (
	Added   Change = "added"
	Removed Change = "removed"
	Changed Change = "changed"
)
