package draw

import "slices"

// Only gives a copy of the drawing with the lines and words of some operations,
// so that a file for a cutter can hold cuts alone. Parts stay, be they empty.
func Only(d *Drawing, operations []Operation) *Drawing {
	out := *d
	out.Parts = slices.Clone(d.Parts)
	for i := range out.Parts {
		p := &out.Parts[i]
		p.Marks = slices.DeleteFunc(slices.Clone(p.Marks), func(m Mark) bool { return !slices.Contains(operations, m.Op) })
		p.Texts = slices.DeleteFunc(slices.Clone(p.Texts), func(t Text) bool { return !slices.Contains(operations, t.Op) })
	}
	return &out
}
