// Package making judges the parts of a design: whether they can be cut, scored,
// held in the hand and glued.
//
// Faults that keep a pattern from being made are found where it is made; here they
// become findings under the same codes. The rest is looked for in the finished
// parts. One finding stands for all of its kind in a mechanism: the gravest.
package making
