package api

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

// DriverSetting is where one driver worked by hand is, in degrees or in the
// design's units.
type DriverSetting struct {
	ID    string
	Value float64
}

func driverOption(id string) string { return "drivers/" + pointerToken(id) }

// bodyDrivers lists the settings of a body, sorted so that of several faults
// always the same is told.
func bodyDrivers(settings *DriverSettings) []DriverSetting {
	if settings == nil {
		return nil
	}
	list := make([]DriverSetting, 0, len(*settings))
	for id, v := range *settings {
		list = append(list, DriverSetting{id, v})
	}
	sort.Slice(list, func(i, j int) bool { return list[i].ID < list[j].ID })
	return list
}

// queryDrivers reads settings written <id>:<value>, a form the contract has
// been applied to.
func queryDrivers(texts *DriverValues) ([]DriverSetting, error) {
	if texts == nil {
		return nil, nil
	}
	list := make([]DriverSetting, len(*texts))
	for i, text := range *texts {
		id, number, _ := strings.Cut(text, ":")
		v, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return nil, faultAt(invalidParameter, FieldError{Pointer: fmt.Sprintf("/query/driver/%d", i), Code: BadFormat, Detail: "must be <id>:<number>"})
		}
		list[i] = DriverSetting{id, v}
	}
	return list, nil
}

// driverScale is how the values of one driver are shown.
type driverScale struct {
	unit           DriverUnit
	per            float64 // what one unit is inside, mm or radians
	min, max, rest float64 // as shown
}

func scaleOf(d *kinematics.Driver, units design.Units) driverScale {
	s := driverScale{}
	s.unit, s.per = driverUnit(d.Quantity, units)
	s.min, s.max, s.rest = round6(d.Min/s.per), round6(d.Max/s.per), round6(d.Rest/s.per)
	return s
}

// driverUnit is what values of a driver are shown in, and one of it inside.
func driverUnit(q design.Quantity, units design.Units) (DriverUnit, float64) {
	if q == design.Degrees {
		return DriverUnitDeg, float64(geom.Degrees(1))
	}
	return DriverUnit(units), units.PerUnit()
}

// inside is a shown value in mm or radians. The ends of the range as shown are
// its ends, though they are rounded.
func (s *driverScale) inside(v float64, d *kinematics.Driver) float64 {
	return min(max(v*s.per, d.Min), d.Max)
}

// check refuses a value out of range; option names where it stands.
func (s *driverScale) check(v float64, option string) error {
	if v >= s.min && v <= s.max {
		return nil
	}
	unit := "degrees"
	if s.unit != DriverUnitDeg {
		unit = string(s.unit)
	}
	return &optionFault{option, OutOfRange, fmt.Sprintf("must be from %s to %s %s", appendNumber(nil, s.min), appendNumber(nil, s.max), unit)}
}

// hand is the values of an assembly's drivers, as shown and as posed.
type hand struct {
	scales []driverScale
	shown  []float64
	posed  []float64
}

// handOf sets the drivers of an assembly; those not named are at rest.
func handOf(a *kinematics.Assembly, settings []DriverSetting) (*hand, error) {
	h := &hand{posed: a.Rest()}
	for i := range a.Drivers {
		s := scaleOf(&a.Drivers[i], a.Design.Units)
		h.scales = append(h.scales, s)
		h.shown = append(h.shown, s.rest)
	}
	set := make([]bool, len(a.Drivers))
	for _, d := range settings {
		i := a.DriverIndex(d.ID)
		if i < 0 {
			return nil, &optionFault{driverOption(d.ID), NotAllowed, "no such driver; this design has " + driverList(a, "none")}
		}
		if set[i] {
			return nil, &optionFault{driverOption(d.ID), NotAllowed, "given twice; give it once"}
		}
		if err := h.scales[i].check(d.Value, driverOption(d.ID)); err != nil {
			return nil, err
		}
		h.set(a, i, d.Value)
		set[i] = true
	}
	return h, nil
}

func (h *hand) set(a *kinematics.Assembly, i int, v float64) {
	h.shown[i], h.posed[i] = v, h.scales[i].inside(v, &a.Drivers[i])
}

// driverList names the drivers of a design, or says that there are none.
func driverList(a *kinematics.Assembly, none string) string {
	if len(a.Drivers) == 0 {
		return none
	}
	names := make([]string, len(a.Drivers))
	for i := range a.Drivers {
		names[i] = a.Drivers[i].ID
	}
	return strings.Join(names, ", ")
}
