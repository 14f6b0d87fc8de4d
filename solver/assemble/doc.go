// Package assemble finds an order in which the parts of a design can be put
// together, and the joints that no order lets a hand reach.
//
// # When a joint can be glued
//
// Pieces that hang on the rest by one side only are swung or bent out of the way.
// Pieces in a ring, fixed on two sides, stay where they are. So each joint is
// looked at with the ring its host is in, and with nothing else. Its place is
// open when a finger, FingerWidth wide, FingerThick thick and FingerLength long,
// gets to the middle of it along a straight line, on the face of the host where
// the glue is, in one of the openings looked at. The finger is held against the
// panels by its middle, its back and its two sides.
//
// A joint that closes a ring is held by the ring's other joints while it is
// glued. Common practice is to shut the page, or to fold the piece flat, onto
// the glued tab: that needs a tab on the face of its host, a piece that lies flat
// when shut, and a place that was open before the joints that are pressed by the
// same shutting were closed. A tab that goes through a slot must be taken hold of
// behind it, with the piece itself in the way too.
//
// # How the order is found
//
// Taking a joint away never puts anything in the way. So a design is taken apart:
// of all joints that could be glued last the one is taken that comes last in the
// order people would choose, and so on. What can be taken apart by this can be put
// together in the reverse order, and what is left cannot be put together in any
// order, as far as the rule above goes. No order has to be tried twice. Plan
// counts the lines of sight it looks along; beyond a bound the joints left are
// said to be undecided.
package assemble
