// Package model writes a folding spread as a three-dimensional model in glTF
// 2.0, binary form, with its motion baked in.
//
// # Axes and units
//
// glTF has metres, y up and the viewer at +z. A book lies on the table, so what
// is towards the viewer of the open spread goes up, and the head of the page is
// far:
//
//	(x, y, z) mm  →  (x, z, -y)/1000 m
//
// The map is a rotation, so what is right-handed stays so.
//
// # Paper
//
// Each panel is a node of its name with one closed mesh: its printed face, its
// reverse and its edges, each of its own material. Meshes are in the panel's
// own frame, so a panel moves by moving its node. The design's surfaces have no
// thickness; paper is added on the side where there is room when the book is
// shut: pages behind their printed side, everything else on its printed side,
// and what lies on a panel on top of the panel's paper.
//
// # Motion
//
// The one animation, "open", runs through the openings evenly in time. Keys are
// as far apart as linear interpolation of places and spherical interpolation of
// directions allow within a tolerance at the corners of each panel. A panel
// that its mechanism cannot bring to an opening has scale zero there, which
// glTF names as the way to hide a node.
package model
