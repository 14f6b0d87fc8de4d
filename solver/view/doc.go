// Package view draws pictures of a folded spread: shaded paper with hidden
// surfaces removed, still or moving, as SVG and as PNG.
//
// # From pose to picture
//
// Every panel of a pose becomes a face: its rings in its own (u, v)
// coordinates with its frame in the world. A binary space partition of the
// faces gives an order, back to front, that is right from any eye; a face that
// crosses the plane of another is split there. Splits that turn out not to
// matter to the eye are undone, so a panel is drawn in one piece where that is
// possible.
//
// A picture is drawn on a surface, which is the text of an SVG or pixels, so
// both show the same.
//
// # Splitting
//
// Shapes are filled by the even-odd rule, and each ring is clipped by itself.
// A clipped ring may run to and fro along the cut, where it encloses nothing,
// so concave outlines and holes need no decomposition. Each side of a ring
// knows whether it is an edge of the paper, a crease, or only a cut; cuts are
// never stroked.
//
// # Layers
//
// Faces in one plane overlap where paper lies on paper: figures on panels, a
// flush strap, the whole of a shut book. Which one is on top is read from the
// same design a little further opened or shut, where they lie apart. Paper that
// never parts, such as a figure and its panel, is ordered by its making: what
// is fixed later is on the printed side of what it is fixed to.
package view
