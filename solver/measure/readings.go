package measure

import (
	"fmt"
	"maps"
	"slices"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
)

// Reading is a measure taken at one set of driver values.
type Reading struct {
	Measure Measure
	Drive   kinematics.Drive
}

// Direction is how numbers of the document change together: by pointer, how much
// each changes, in mm or radians. One number by itself is a direction too.
type Direction map[string]float64

// Readings takes a list of readings and their gradients in one assembly. It
// belongs to the assembly and is not for use by several at once.
type Readings struct {
	a     *kinematics.Assembly
	gauge *Gauge
	list  []Reading
	taken []Taken
	pose  *kinematics.Pose
	rate  *kinematics.Rate
}

// NewReadings prepares readings of an assembly.
func NewReadings(a *kinematics.Assembly, list []Reading) *Readings {
	return &Readings{
		a: a, gauge: NewGauge(a), list: list, taken: make([]Taken, len(list)),
		pose: a.NewPose(), rate: a.NewRate(),
	}
}

// Gauge is the gauge the readings are taken with.
func (s *Readings) Gauge() *Gauge { return s.gauge }

// Values takes every reading, in mm or radians; NaN where there is none.
func (s *Readings) Values(dst []float64) {
	s.each(func(run []int) {
		for _, i := range run {
			dst[i] = s.taken[i].Value
		}
	})
}

// each poses the assembly for each run of readings at the same driver values,
// takes them and hands over their numbers.
func (s *Readings) each(visit func(run []int)) {
	done := make([]bool, len(s.list))
	for i := range s.list {
		if done[i] {
			continue
		}
		s.a.PoseInto(s.pose, s.list[i].Drive)
		var run []int
		for k := i; k < len(s.list); k++ {
			if !done[k] && sameDrive(&s.list[i].Drive, &s.list[k].Drive) {
				done[k] = true
				s.taken[k] = s.gauge.Take(&s.list[k].Measure, s.pose)
				run = append(run, k)
			}
		}
		visit(run)
	}
}

func sameDrive(a, b *kinematics.Drive) bool {
	if a.Opening != b.Opening || len(a.Hand) != len(b.Hand) {
		return false
	}
	for i := range a.Hand {
		if a.Hand[i] != b.Hand[i] {
			return false
		}
	}
	return true
}

// Aim is directions made ready for the gradients of one assembly.
type Aim [][]share

// share is the part of a direction that one seed takes.
type share struct {
	seed  kinematics.Seed
	times float64
}

// NewAim prepares directions. The numbers of one mechanism in a direction are
// changed together, so a direction that changes both its sides alike has a rate
// when shut, where none of them has one by itself. It fails on what is no number of
// the design.
func NewAim(a *kinematics.Assembly, directions []Direction) (Aim, error) {
	aim := make(Aim, len(directions))
	for i, d := range directions {
		fields := map[int]map[string]float64{}
		for _, pointer := range slices.Sorted(maps.Keys(d)) {
			mechanism, field, ok := design.SplitPointer(pointer)
			if ok && mechanism < len(a.Design.Mechanisms) {
				if fields[mechanism] == nil {
					fields[mechanism] = map[string]float64{}
				}
				fields[mechanism][field] = d[pointer]
				continue
			}
			seed, ok := a.SeedNumber(pointer)
			if !ok {
				return nil, fmt.Errorf("measure: %s is no number of the design", pointer)
			}
			aim[i] = append(aim[i], share{seed, d[pointer]})
		}
		for _, mechanism := range slices.Sorted(maps.Keys(fields)) {
			seed, ok := a.SeedFields(mechanism, fields[mechanism])
			if !ok {
				return nil, fmt.Errorf("measure: mechanism %d has not all the numbers %v", mechanism, slices.Sorted(maps.Keys(fields[mechanism])))
			}
			aim[i] = append(aim[i], share{seed, 1})
		}
	}
	return aim, nil
}

// Gradients takes every reading with its rate along each direction: values as
// Values has them, and gradient[i][k] the rate of reading i along direction k, in
// mm or radians per mm or radian; NaN where there is none.
func (s *Readings) Gradients(values []float64, gradient [][]float64, aim Aim) {
	s.each(func(run []int) {
		for _, i := range run {
			values[i] = s.taken[i].Value
			clear(gradient[i])
		}
		for k := range aim {
			aim.Rates(s.a, s.rate, s.pose, k, func(times float64) {
				for _, i := range run {
					gradient[i][k] += times * s.gauge.Rate(&s.taken[i], s.pose, s.rate)
				}
			})
		}
	})
}

// Rates takes the rate of a pose along direction k of the aim: r is filled in for
// each seed in turn, and visit is told how many times it counts. What is linear
// in the rate adds up.
func (aim Aim) Rates(a *kinematics.Assembly, r *kinematics.Rate, p *kinematics.Pose, k int, visit func(times float64)) {
	for i := range aim[k] {
		a.RateInto(r, p, aim[k][i].seed)
		visit(aim[k][i].times)
	}
}
