// Package measure holds the measures of a design: what can be told of it in one
// pose as one number, how high it reaches, how a fold is turned, how a panel
// leans, how near pieces come to each other.
//
// A Measure is found by its name, of which there is one set for everything that
// measures. A Gauge takes it in a pose and tells how fast it changes with
// whatever a kinematics.Rate was taken by. Readings do both for many measures,
// each at driver values of its own, against numbers of the document.
//
// Values and rates are in mm and radians. Scale is what one unit of the design's
// document is of them.
//
// # Names
//
// A name is a kind, and after a dot what is measured:
//
//	height                      everything
//	height.quay                 a mechanism
//	height.quay.left            a panel
//	height.quay.ridge@end       a point, here the far end of a fold
//	across.quay.left@12:30      the point (12, 30) of a panel
//	along.quay.left@corner2     the third corner of a panel's outline
//	fold.quay.ridge
//	tilt.quay.left
//	lean.quay.left
//	travel.sail.strip
//	inset.quay                  a mechanism or a panel
//	distance.quay.ridge@start~page.left@0:40
//	clearance                   everything
//	clearance.quay~lighthouse.left
//
// Places on panels are written in the units of the document.
package measure
