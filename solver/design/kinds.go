package design

// Kind names a kind of mechanism.
type Kind string

// KindInfo describes a kind for the catalogue and for the decoder.
type KindInfo struct {
	Kind    Kind
	Summary string
	Stands  Stands
	Schema  Schema
	// Panels and Folds are the names the mechanism makes, after "<id>.".
	Panels, Folds []string
	// OneSheet is whether the mechanism is cut from its host; it then has no
	// joint and stands only between parts of one sheet.
	OneSheet bool
	// Conditions are the rules of the kind in words.
	Conditions []string

	decode func(*object) Spec
}

// Stands tells what a kind can stand on.
type Stands string

const (
	OnFold  Stands = "fold"
	OnPanel Stands = "panel"
)

// kinds is the one table of mechanism kinds, sorted by name.
var kinds = []*KindInfo{
	&cutStepKind,
	&cutVKind,
	&figureKind,
	&parallelFoldKind,
	&strapKind,
	&vFoldKind,
}

// Kinds lists every mechanism kind, sorted by name.
func Kinds() []*KindInfo { return kinds }

func kindInfo(k Kind) *KindInfo {
	for _, info := range kinds {
		if info.Kind == k {
			return info
		}
	}
	return nil
}

// Info is the catalogue entry of the mechanism's kind.
func (m *Mechanism) Info() *KindInfo { return kindInfo(m.Kind) }

// twoPanels and threeFolds are the names every two-panel mechanism makes.
var (
	twoPanels  = []string{"left", "right"}
	threeFolds = []string{"left_base", "ridge", "right_base"}
)
