// Package guide writes the instructions for putting a design together by hand:
// for somebody who has the cut parts before them and has never seen the design.
//
// # From plan to guide
//
// The order is that of package assemble, and the letters are those that package
// pattern writes on the parts. The guide adds words, pictures, and the numbers to
// check by. It is a document without a form; HTML and PDF are written from it.
//
// # Pictures
//
// A picture of a step shows the folded spread as it will stand with the parts in
// place by then, the new one in a colour of its own, and the letters where they
// are glued. Pieces put together beside the page are shown without it. Opening
// and viewpoint are those, of a few, from which most of the new part is seen.
//
// # What is said
//
// All words are in one table. Advice on tools and glue is common practice; times
// are from memory and say so.
package guide
