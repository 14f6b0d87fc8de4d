package api

import (
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// conditioner tells, pose by pose, how well mechanisms are driven.
type conditioner struct {
	a    *kinematics.Assembly
	rate *kinematics.Rate
	list []kinematics.Conditioning
}

func newConditioner(a *kinematics.Assembly) *conditioner {
	return &conditioner{a, a.NewRate(), make([]kinematics.Conditioning, len(a.Design.Mechanisms))}
}

// of lists the mechanisms that are reached in the pose.
func (c *conditioner) of(p *kinematics.Pose) []Conditioning {
	c.a.ConditioningInto(c.list, c.rate, p)
	out := []Conditioning{}
	for i := range c.list {
		if p.Reach[i] == kinematics.Reached {
			out = append(out, c.wire(i))
		}
	}
	return out
}

func (c *conditioner) wire(mechanism int) Conditioning {
	of := &c.list[mechanism]
	out := Conditioning{Mechanism: c.a.Design.Mechanisms[mechanism].ID}
	shown := func(v float64) *float64 {
		v = round6(v)
		return &v
	}
	if of.Transmits {
		out.Transmission = shown(of.Transmission.Degrees())
	}
	if of.CanLock {
		out.LockMargin = shown(of.Margin.Degrees())
	}
	// Next to a lock a rate may be too large for a number.
	if speed := c.rate.Speed(mechanism); of.Exists && finite(of.Amplification) && finite(speed) {
		out.Amplification = shown(of.Amplification)
		out.Speed = shown(speed * float64(geom.Degrees(1)) / c.a.Design.Units.PerUnit())
	}
	return out
}
