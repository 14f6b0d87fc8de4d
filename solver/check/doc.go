// Package check judges a whole design by every exam there is, and seeks for each
// finding one change that cures it.
//
// Every remedy is tried before it is offered: the design is changed, examined
// again, and the remedy kept only when its finding is gone and no new error
// has come.
package check
