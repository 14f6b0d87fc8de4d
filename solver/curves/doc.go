// Package curves measures a design against its opening, or against what is
// moved by hand: how high it reaches, how its folds turn, how its panels lean,
// how far its strips are drawn, how near panels come to each other. The measures are written as CSV and plotted as
// SVG and PNG.
//
// Values are in the units of the design's document, lengths in mm or inches and
// angles in degrees, since they go to people. Where a mechanism is not reached
// there is no value, and the plot has a gap.
package curves
