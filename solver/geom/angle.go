package geom

import "math"

// Angle is a plane angle in radians. Degrees appear only where people read or
// write numbers: documents, findings and drawings.
type Angle float64

// Degrees converts an angle in degrees.
func Degrees(d float64) Angle { return Angle(d * (math.Pi / 180)) }

// Degrees gives the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a) * (180 / math.Pi) }

// Sincos gives the sine and the cosine.
func (a Angle) Sincos() (sin, cos float64) { return math.Sincos(float64(a)) }
