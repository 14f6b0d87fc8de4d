// Package curves takes the measures of a design against its opening, or against
// what is moved by hand, and writes them as CSV and as plots in SVG and PNG.
//
// Values are in the units of the design's document, lengths in mm or inches and
// angles in degrees, since they go to people. Where a mechanism is not reached
// there is no value, and the plot has a gap.
package curves
