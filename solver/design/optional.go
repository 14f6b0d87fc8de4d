package design

// optional makes a field that may be left out without a fixed default.
func optional(f Field) Field {
	f.Required = false
	return f
}

// optionalLength reads a length in mm; nil when it is left out or at fault.
func (o *object) optionalLength(name string) *float64 {
	if !o.has(name) {
		return nil
	}
	before := len(o.problems)
	v := o.length(name)
	if len(o.problems) > before {
		return nil
	}
	return &v
}

// atMost holds a length that was given to a bound named in words. A bound that
// is at fault itself, zero, holds nothing.
func (o *object) atMost(name string, v *float64, bound float64, what string) {
	if v != nil && bound > 0 && *v > bound {
		o.reject(name, CodeOutOfRange, "must be at most %s, %s; got %s", o.in(bound), what, o.in(*v))
	}
}

func cloned(v *float64) *float64 {
	if v == nil {
		return nil
	}
	c := *v
	return &c
}

// appendGiven lists a measurement that may be left out.
func appendGiven(list []number, path string, v *float64) []number {
	if v == nil {
		return list
	}
	return append(list, number{path: path, value: v})
}
