package design

import (
	"errors"

	"foldwright/solver/geom"
)

// minOutlineArea keeps out figures that are only a line, in mm².
const minOutlineArea = 0.01

// outline reads SVG path data as a closed shape in mm.
func (o *object) outline(name string) geom.Path {
	f, n, ok := o.lookup(name)
	if !ok {
		return nil
	}
	data, isString := n.value.(string)
	if !isString {
		o.reject(name, CodeWrongType, "must be a string of SVG path data, not %s", n.typeName())
		return nil
	}
	if float64(len(data)) > f.Max {
		o.reject(name, CodeOutOfRange, "must be at most %g characters of path data; it has %d", f.Max, len(data))
		return nil
	}
	path, err := geom.ParsePath(data)
	if err != nil {
		if fault := (*geom.PathError)(nil); errors.As(err, &fault) {
			o.reject(name, CodeBadPath, "at character %d: %s", fault.Offset, fault.Reason)
		} else {
			o.reject(name, CodeBadPath, "%s", err)
		}
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
	if area := path.Area(); area < minOutlineArea && area > -minOutlineArea {
		o.reject(name, CodeBadPath, "must enclose an area; close the shape so that it has an inside")
		return nil
	}
	return path
}
