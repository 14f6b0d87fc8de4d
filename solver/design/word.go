package design

import "slices"

// Word is a changeable field of a design that takes one of a few words, found by
// its pointer.
type Word struct {
	Pointer string
	Options []string
	value   *string
}

// Get reads the field.
func (w Word) Get() string { return *w.value }

// Set changes the field; what is not among the options is not taken.
func (w Word) Set(v string) bool {
	if !slices.Contains(w.Options, v) {
		return false
	}
	*w.value = v
	return true
}

// Word finds a field of the paper, or of the joint of a mechanism, by its
// pointer.
func (d *Design) Word(pointer string) (Word, bool) {
	var value *string
	if index, field, ok := SplitPointer(pointer); ok && index < len(d.Mechanisms) {
		m := &d.Mechanisms[index]
		switch {
		case !m.Info().jointed():
		case field == "joint/fix":
			value = (*string)(&m.Joint.Fix)
		case field == "joint/tab_side":
			value = (*string)(&m.Joint.TabSide)
		}
	} else if pointer == "/paper/grain" {
		value = (*string)(&d.Paper.Grain)
	}
	if value == nil {
		return Word{}, false
	}
	return Word{pointer, d.fieldAt(pointer).Choices, value}, true
}
