package api

import (
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/testdata/designs"
)

// What the catalogue says the hand moves is what the specs of the examples say.
func TestKindDriversAreThoseOfTheSpecs(t *testing.T) {
	seen := map[design.Kind]bool{}
	for _, name := range designs.Names() {
		for _, m := range exampleDocument(t, name).Design.Mechanisms {
			seen[m.Kind] = true
			told := kindDrivers[m.Kind]
			var moved []design.Driver
			if driven, ok := m.Spec.(design.Driven); ok {
				moved = driven.Drivers()
			}
			if len(told) != len(moved) {
				t.Errorf("%s: the catalogue has %d drivers, the spec %d", m.Kind, len(told), len(moved))
				continue
			}
			for i, d := range moved {
				unit := KindDriverUnitMm
				if d.Quantity == design.Degrees {
					unit = KindDriverUnitDeg
				}
				if told[i].Name != d.Name || told[i].Unit != unit || told[i].Description == "" || told[i].Range == "" {
					t.Errorf("%s: the catalogue says %+v, the spec %+v", m.Kind, told[i], d)
				}
			}
		}
	}
	for kind := range kindDrivers {
		if !seen[kind] {
			t.Errorf("no example has a %s, or there is no such kind", kind)
		}
	}
}

// Every kind has a diagram, of an example of that kind, that shows its panels.
func TestEveryKindHasADiagram(t *testing.T) {
	s := newServer(t)
	for _, k := range design.Kinds() {
		shown, ok := diagrams[k.Kind]
		if !ok {
			t.Errorf("%s has no diagram", k.Kind)
			continue
		}
		w := get(t, s, diagramPath(k.Kind))
		if w.Code != 200 {
			t.Errorf("%s: %d %s", k.Kind, w.Code, w.Body)
			continue
		}
		svg := w.Body.String()
		of := exampleDocument(t, shown.example).Design
		panels := 0
		for _, m := range of.Mechanisms {
			if m.Kind == k.Kind {
				panels += strings.Count(svg, `="`+m.ID+".")
			}
		}
		if panels == 0 || !strings.Contains(svg, `="page.left"`) {
			t.Errorf("%s: the diagram shows no panel of it", k.Kind)
		}
	}
	if len(diagrams) != len(design.Kinds()) {
		t.Errorf("%d diagrams, %d kinds", len(diagrams), len(design.Kinds()))
	}
}
