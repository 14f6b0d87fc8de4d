package design

import (
	"errors"

	"foldwright/solver/geom"
)

// minOutlineArea keeps out figures that are only a line, in mm².
const minOutlineArea = 0.01

// outline reads SVG path data as a closed shape in mm.
func (o *object) outline(name string) geom.Path {
	path := o.path(name)
	if path == nil {
		return nil
	}
	path = path.Transform(geom.Scale(o.units.PerUnit()))
	for i := range path {
		path[i].Closed = true
	}
	box := path.Bounds()
	if size := box.Max.Sub(box.Min).Norm(); size > maxLength {
		o.reject(name, CodeOutOfRange, "must fit in %s; it is %s across", o.in(maxLength), o.in(size))
		return nil
	}
	if !o.plain(name, path) {
		return nil
	}
	if at, cross := geom.RingsCross(path.Flatten(outlineChord)); cross {
		o.reject(name, CodeBadPath, "must not cross itself; it does near (%s, %s)",
			shortNumber(at.X/o.units.PerUnit()), shortNumber(at.Y/o.units.PerUnit()))
		return nil
	}
	if area := path.Area(); area < minOutlineArea && area > -minOutlineArea {
		o.reject(name, CodeBadPath, "must enclose an area; close the shape so that it has an inside")
		return nil
	}
	return path
}

// artwork reads SVG path data as lines in mm, open or closed, that lie within the
// box around an outline; nil when they are left out.
func (o *object) artwork(name string, outline geom.Path) geom.Path {
	if !o.has(name) {
		return nil
	}
	path := o.path(name)
	if path == nil {
		return nil
	}
	path = path.Transform(geom.Scale(o.units.PerUnit()))
	if !o.plain(name, path) || outline == nil {
		return nil
	}
	if around := outline.Bounds().Grow(outlineChord); around.Union(path.Bounds()) != around {
		o.reject(name, CodeOutOfRange, "must lie within the box around the outline, which nothing is printed outside of")
		return nil
	}
	return path
}

// profile reads SVG path data as one open line from (0, 0) to (1, 0), moved,
// turned and scaled there from wherever it was drawn.
func (o *object) profile(name string) geom.Path {
	path := o.path(name)
	if path == nil {
		return nil
	}
	if len(path) != 1 || path[0].Closed {
		o.reject(name, CodeBadPath, "must be one open line")
		return nil
	}
	chord := path[0].End().Sub(path[0].Start)
	box := path.Bounds()
	if size := box.Max.Sub(box.Min).Norm(); chord.Norm() < size*minChord {
		o.reject(name, CodeBadPath, "must end away from where it starts: its ends go to the ends of the edge")
		return nil
	}
	return path.Transform(geom.Placement{C: chord.X, S: chord.Y, T: path[0].Start}.Inverse())
}

// minChord is the least distance between the ends of a profile, as a fraction
// of its size; below it the fitted line would be many times longer than the
// edge.
const minChord = 0.05

// path reads SVG path data, whatever its unit.
func (o *object) path(name string) geom.Path {
	f, n, ok := o.lookup(name)
	if !ok {
		return nil
	}
	data, isString := n.value.(string)
	if !isString {
		o.reject(name, CodeWrongType, "must be a string of SVG path data, not %s", n.typeName())
		return nil
	}
	if size := float64(len(data)); size < f.Min || size > f.Max {
		o.reject(name, CodeOutOfRange, "must be %.0f to %.0f characters of path data; it has %d", f.Min, f.Max, len(data))
		return nil
	}
	path, err := geom.ParsePath(data)
	switch fault := (*geom.PathError)(nil); {
	case errors.As(err, &fault):
		o.reject(name, CodeBadPath, "at character %d: %s", fault.Offset, fault.Reason)
		return nil
	case len(path) == 0:
		o.reject(name, CodeBadPath, "must hold at least one line")
		return nil
	}
	return path
}

const (
	// outlineChord is how closely outlines are followed when they are held
	// against one another, in mm.
	outlineChord = 0.02
	// maxChords bounds the work a figure can ask for: a piece of 200 mm
	// with an edge as fine as a cutter's step all round has fewer.
	maxChords = 4000
)

// plain refuses a shape with more detail than can be cut.
func (o *object) plain(name string, path geom.Path) bool {
	if n := path.FlatCount(outlineChord); n > maxChords {
		o.reject(name, CodeTooMany, "must be no finer than %d chords of %g mm; it has %d: draw it with fewer, longer curves", maxChords, outlineChord, n)
		return false
	}
	return true
}
