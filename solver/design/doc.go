// Package design is the design document: what a client posts, decoded into
// typed values in millimetres and radians, with defaults filled in and every
// fault named by its JSON pointer.
//
// The tables in this package say what each object may hold, with units, ranges
// and defaults. They drive the decoder, the catalogue of kinds and the test
// that holds the published schema to them, so a range is written once.
package design
