package design

import "strings"

// Kind names a kind of mechanism.
type Kind string

// KindInfo describes a kind for the catalogue and for the decoder.
type KindInfo struct {
	Kind    Kind
	Summary string
	Stands  Stands
	Schema  Schema
	// Panels and Folds are the names the mechanism makes, after "<id>."; none
	// where the document names them.
	Panels, Folds []string
	// OneSheet is whether the mechanism is cut from its host; it then has no
	// joint and stands only between parts of one sheet.
	OneSheet bool
	// Conditions are the rules of the kind in words.
	Conditions []string

	// creases are folds between two parts of one sheet, besides a ridge;
	// oneSided are folds stood on from their working side only.
	creases, oneSided []string

	decode func(*object) Spec
}

// Stands tells what a kind can stand on.
type Stands string

const (
	OnFold  Stands = "fold"
	OnPanel Stands = "panel"
	OnPage  Stands = "page"
)

// kinds is the one table of mechanism kinds, sorted by name.
var kinds = []*KindInfo{
	&boxKind,
	&cutStepKind,
	&cutVKind,
	&figureKind,
	&flapKind,
	&floatingLayerKind,
	&linkageKind,
	&parallelFoldKind,
	&pivotArmKind,
	&pullTabKind,
	&slideTentKind,
	&strapKind,
	&vFoldKind,
	&wheelKind,
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

// Makes lists the panels and folds of the mechanism, as named after "<id>.".
func (m *Mechanism) Makes() (panels, folds []string) {
	if spec, ok := m.Spec.(naming); ok {
		return spec.makes()
	}
	info := m.Info()
	return info.Panels, info.Folds
}

// WorkingSide is the side on which a fold the mechanism makes is worked.
func (m *Mechanism) WorkingSide(fold string) Side {
	if spec, ok := m.Spec.(sided); ok {
		return spec.side(fold)
	}
	return sideByName(fold)
}

// sideByName is the rule: bases are worked from outside, all else from inside.
func sideByName(fold string) Side {
	if strings.HasSuffix(fold, "_base") {
		return Outer
	}
	return Inner
}

// twoPanels and threeFolds are the names every two-panel mechanism makes.
var (
	twoPanels  = []string{"left", "right"}
	threeFolds = []string{"left_base", "ridge", "right_base"}
)
