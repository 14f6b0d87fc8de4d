package api

import (
	"errors"
	"fmt"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/measure"
)

// readingsOf are the measures that a request asks for, told by asked of each;
// the height where it names none.
func readingsOf[M any](a *kinematics.Assembly, list *[]M, asked func(*M) VaryMeasure) ([]measure.Reading, error) {
	wanted := []VaryMeasure{{Measure: "height"}}
	if list != nil {
		wanted = make([]VaryMeasure, len(*list))
		for i := range wanted {
			wanted[i] = asked(&(*list)[i])
		}
	}
	readings := make([]measure.Reading, len(wanted))
	for i := range wanted {
		m := &wanted[i]
		var err error
		if readings[i], err = readingOf(a, m.Measure, m.Opening, m.Drivers, fmt.Sprintf("measures/%d", i)); err != nil {
			return nil, err
		}
	}
	return readings, nil
}

// readingOf is a measure of the design with everything that moves it set; what
// is left out of the drive is fully open and at rest. name is the option it is
// in.
func readingOf(a *kinematics.Assembly, id string, opening *float64, drivers *DriverSettings, name string) (measure.Reading, error) {
	m, known := measure.Find(a, id)
	if !known {
		return measure.Reading{}, &optionFault{name + "/measure", NotAllowed, "no such measure; /v1/curves lists those of everything and of each fold, panel and strip"}
	}
	r := measure.Reading{Measure: m, Drive: kinematics.Drive{Opening: a.Design.Spread.OpensTo}}
	switch {
	case opening != nil:
		if err := checkOpening(*opening, name+"/opening"); err != nil {
			return r, err
		}
		r.Drive.Opening = geom.Degrees(*opening)
	case m.Kind == measure.Inset:
		r.Drive.Opening = 0
	}
	h, err := handIn(a, drivers, name)
	if err != nil {
		return r, err
	}
	r.Drive.Hand = h.posed
	return r, nil
}

// handIn is what moves the pieces by hand in an option of this name.
func handIn(a *kinematics.Assembly, drivers *DriverSettings, name string) (*hand, error) {
	h, err := handOf(a, bodyDrivers(drivers))
	if refused, ok := errors.AsType[*optionFault](err); ok {
		err = &optionFault{name + "/" + refused.name, refused.code, refused.detail}
	}
	return h, err
}

// known is a number of an answer, nil where there is none.
func known(v float64) *float64 {
	if !finite(v) {
		return nil
	}
	v = round6(v)
	return &v
}
