// Package run plans a short run: the parts of one or more copies of a card laid
// out on sheets of the papers at hand, within what the cutter reaches, with
// what it takes to make them.
//
// # Coordinates
//
// Lengths are millimetres, y up. A sheet lies with its lower left corner on the
// lower left corner of the cutter's bed, which is the origin; where the bed
// takes more of it that way, it is turned a quarter. A placement turns a part
// about the origin of its pattern and then moves it.
//
// # Sheets
//
// Each stock is a problem of its own. All cards are alike, so a set of a few is
// laid out and repeated, the rest after it; sets of several sizes are tried, and
// all the cards together where they are few. The cheapest wins, and of two that
// cost the same the one with fewer different sheets.
//
// # Work
//
// On a sheet everything is scored first, then perforated, then cut, inner cuts
// before the outline around them. Times are those of the speeds given, with
// trapezoids of speed where there is an acceleration.
//
// The package has no clock: the caller's Stop ends the search, or its effort
// does. The same input, seed and effort give the same run.
package run
