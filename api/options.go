package api

import (
	"errors"
	"slices"
	"strconv"
	"strings"
)

// optionFault is an option that is not allowed. Its name is where it stands in
// a body; whoever knows where the option came from makes a pointer of it.
type optionFault struct {
	name   string // "openings/1", "sweep/steps", "drivers/door.angle", "" for all together
	code   FieldErrorCode
	detail string
}

func (f *optionFault) Error() string { return f.name + ": " + f.detail }

// optionFaults is every fault of options that are checked together.
type optionFaults []*optionFault

func (f optionFaults) Error() string {
	words := make([]string, len(f))
	for i := range f {
		words[i] = f[i].Error()
	}
	return strings.Join(words, "; ")
}

// optionPlace is where the options of a request came from: the problem that
// refuses them, and the pointer of an option by its name.
type optionPlace struct {
	kind    *problemKind
	pointer func(name string) string
}

var inBody = optionPlace{invalidRequest, func(name string) string { return strings.TrimSuffix("/"+name, "/") }}

// inQuery is a query whose driver settings are those given, in their order.
func inQuery(drivers ...DriverSetting) optionPlace {
	return optionPlace{invalidParameter, func(name string) string { return strings.TrimSuffix("/query/"+queryName(name, drivers), "/") }}
}

// queryName is the parameter that stands for an option of a body.
func queryName(name string, drivers []DriverSetting) string {
	field, rest, _ := strings.Cut(name, "/")
	switch field {
	case "sweep":
		switch rest {
		case "":
			return "openings" // what the sweep does not go with
		case "driver":
			return "sweep"
		default:
			return rest
		}
	case "style", "scores": // named there
		return field
	case "bed":
		return "bed_" + rest
	case "stocks":
		return "stock"
	case "paper":
		switch rest {
		case "", "name":
			return "paper"
		default:
			return rest
		}
	case "drivers":
		for i, driver := range slices.Backward(drivers) {
			if driver.ID == rest {
				return "driver/" + strconv.Itoa(i)
			}
		}
	}
	return name
}

// fault gives refused options their pointers.
func (p optionPlace) fault(err error) error {
	refused, several := errors.AsType[optionFaults](err)
	if one, ok := errors.AsType[*optionFault](err); ok && !several {
		refused = optionFaults{one}
	}
	if len(refused) == 0 {
		return err
	}
	list := make([]FieldError, len(refused))
	for i, f := range refused {
		list[i] = FieldError{Pointer: p.pointer(f.name), Code: f.code, Detail: f.detail}
	}
	return faultAt(p.kind, list...)
}
