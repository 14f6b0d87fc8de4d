package design

import (
	"encoding/json"
	"math"

	"foldwright/solver/geom"
)

// points reads an array of [u, v] pairs in mm; nil when it is absent or at
// fault.
func (o *object) points(name string) []geom.Vec2 {
	f, n, ok := o.lookup(name)
	if !ok {
		return nil
	}
	items, isList := n.value.([]node)
	if !isList {
		o.reject(name, CodeWrongType, "must be an array of [u, v] pairs, not %s", n.typeName())
		return nil
	}
	if count := float64(len(items)); count < f.Min || count > f.Max {
		code := CodeOutOfRange
		if count > f.Max {
			code = CodeTooMany
		}
		o.reject(name, code, "must hold %g to %g points; it has %d", f.Min, f.Max, len(items))
		return nil
	}
	before := len(o.problems)
	list := make([]geom.Vec2, len(items))
	for i, item := range items {
		pair, isPair := item.value.([]node)
		if !isPair || len(pair) != 2 {
			o.add(item.pointer, CodeWrongType, "must be a pair [u, v] of numbers")
			continue
		}
		list[i] = geom.Vec2{X: o.coordinate(pair[0]), Y: o.coordinate(pair[1])}
	}
	if len(o.problems) > before {
		return nil
	}
	return list
}

func (f *faults) coordinate(n node) float64 {
	text, isNumber := n.value.(json.Number)
	if !isNumber {
		f.add(n.pointer, CodeWrongType, "must be a number, not %s", n.typeName())
		return 0
	}
	v, err := text.Float64()
	if v *= f.units.PerUnit(); err != nil || !(math.Abs(v) <= maxPosition) {
		f.add(n.pointer, CodeOutOfRange, "must be from %s to %s; got %s", f.in(-maxPosition), f.in(maxPosition), clip(text.String()))
		return 0
	}
	return v
}

// whole reads a whole number.
func (o *object) whole(name string) int {
	if n, ok := o.find(name); ok {
		if _, isNumber := n.value.(json.Number); !isNumber {
			o.reject(name, CodeWrongType, "must be a whole number, not %s", n.typeName())
			return 0
		}
	}
	before := len(o.problems)
	v := o.number(name)
	if v != math.Trunc(v) {
		o.reject(name, CodeWrongType, "must be a whole number; got %g", v)
		return 0
	}
	if len(o.problems) > before {
		return 0
	}
	return int(v)
}
