// Package rules decides what storage.Store promises and no database decides:
// which call makes a version, which is a conflict, which only repeats an
// earlier one. The drivers bring the statements, one each, as a Tx.
package rules
