// Package clearance judges a design: whether it shuts, opens and stays inside
// the page, naming what is wrong, by how much, where, and one change that cures
// it.
//
// Every remedy is tried before it is offered: the design is changed, checked
// again, and the remedy kept only when its finding is gone and no new error
// has come.
package clearance
