// Package draw holds one neutral drawing, in millimetres with y up and what is
// to be done along each line, and the writers that turn it into files.
//
// A writer owns its axis flip, its numbers and the way a style becomes
// layers, colours and dashes. The same drawing always gives the same bytes.
package draw
