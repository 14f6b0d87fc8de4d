package check

import (
	"foldwright/solver/collide"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// moments are where pieces were found to pass through each other, the latest last. A
// change that does not part them leaves them in contact there most of the time, and
// so is found out without a sweep.
type moments struct{ list []moment }

// moment is a value of the opening, or of a hand driver with the spread open.
type moment struct {
	driver string // its ID; empty for the opening
	at     float64
}

// manyMoments is how many are worth looking at before a sweep.
const manyMoments = 6

func (m *moments) add(a *kinematics.Assembly, c *collide.Contact) {
	at := moment{at: c.Deepest}
	if c.Driver != collide.None {
		at.driver = a.Drivers[c.Driver].ID
	}
	if m.list = append(m.list, at); len(m.list) > manyMoments {
		m.list = m.list[1:]
	}
}

// look tells whether a contact is found at one of the moments that is enough.
func (m *moments) look(a *kinematics.Assembly, bodies *collide.Bodies, enough func(*collide.Contact) bool) bool {
	pose, found := a.NewPose(), false
	for k := len(m.list) - 1; k >= 0 && !found; k-- {
		drive, driver, ok := m.list[k].drive(a)
		if !ok {
			continue
		}
		a.PoseInto(pose, drive)
		bodies.At(pose, func(x, y collide.Piece, c collide.Crossing) {
			found = found || enough(&collide.Contact{
				Pieces: [2]collide.Piece{x, y}, Fold: collide.None, Driver: driver, Opening: drive.Opening,
				From: m.list[k].at, To: m.list[k].at, Deepest: m.list[k].at, Depth: c.Depth, Point: c.At,
			})
		})
	}
	return found
}

// drive is the moment in a design, which may have changed; ok is false where it has
// no such driver or that does not go so far.
func (m moment) drive(a *kinematics.Assembly) (drive kinematics.Drive, driver int, ok bool) {
	opensTo := a.Design.Spread.OpensTo
	if m.driver == "" {
		drive.Opening = geom.Angle(m.at)
		return drive, collide.None, drive.Opening <= opensTo
	}
	driver = a.DriverIndex(m.driver)
	if driver < 0 || m.at < a.Drivers[driver].Min || m.at > a.Drivers[driver].Max {
		return drive, driver, false
	}
	drive = kinematics.Drive{Opening: opensTo, Hand: a.Rest()}
	drive.Hand[driver] = m.at
	return drive, driver, true
}
