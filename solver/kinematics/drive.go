package kinematics

import (
	"foldwright/solver/design"
	"foldwright/solver/geom"
)

// Drive is one set of driver values: the opening of the book, and what the hand
// moves.
type Drive struct {
	Opening geom.Angle // dihedral between the pages: 0 shut, π open flat
	// Hand is the value of each of the assembly's Drivers in turn, mm or
	// radians; nil leaves them all at rest.
	Hand []float64
}

// Driver is one thing moved by hand.
type Driver struct {
	ID        string // "<mechanism>.<driver>"
	Mechanism int    // index in the design
	design.Driver
}

// Rest gives the resting value of every driver.
func (a *Assembly) Rest() []float64 { return append([]float64(nil), a.rest...) }

// DriverIndex finds a driver by its name; -1 when there is none.
func (a *Assembly) DriverIndex(id string) int {
	for i := range a.Drivers {
		if a.Drivers[i].ID == id {
			return i
		}
	}
	return -1
}

// driver is the index of a driver of the mechanism being compiled.
func (c *compiler) driver(m *design.Mechanism, name string) int {
	return c.DriverIndex(m.ID + "." + name)
}

func (c *compiler) addDrivers(i int, m *design.Mechanism) {
	spec, ok := m.Spec.(design.Driven)
	if !ok {
		return
	}
	for _, d := range spec.Drivers() {
		c.Drivers = append(c.Drivers, Driver{m.ID + "." + d.Name, i, d})
		c.rest = append(c.rest, d.Rest)
	}
}

// gutterHinge is the state of the gutter, whose frame is the world, when shut.
var gutterHinge = Hinge{S: geom.Vec3{X: 1}, H: geom.Vec3{Y: 1}, N: geom.Vec3{Z: 1}, Cos: 1}

// open turns the faces of the gutter to the given dihedral.
func (f *Hinge) open(dihedral geom.Angle) { f.Sin, f.Cos = sincos(float64(dihedral / 2)) }
