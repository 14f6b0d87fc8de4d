// Package raster paints polygons, lines and text into an image.
//
// Coordinates are px, x to the right and y down, with the origin in the corner
// of the first pixel. Paint goes over what is there, so a picture is painted
// back to front.
//
// # Coverage
//
// How much of a pixel a polygon covers is exact along x and sampled along y, at
// the middles of subRows rows per pixel. The same calls give the same bytes on
// every machine: nothing depends on a graphics library of the system, and text
// is set in a font that comes with the program.
package raster
