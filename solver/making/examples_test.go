package making

import (
	"slices"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	designs "foldwright/testdata/designs"
)

// examined is what is found in the parts of a document.
func examined(t testing.TB, document []byte) []finding.Finding {
	t.Helper()
	d, err := design.Decode(document)
	if err != nil {
		t.Fatal(err)
	}
	a := kinematics.Compile(d)
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		t.Fatal(err)
	}
	found, _ := Examine(a, p, nil, Everything, nil)
	return found
}

// TestExamplesCanBeMade holds that the examples, which are made as told, have no
// fault in their parts.
func TestExamplesCanBeMade(t *testing.T) {
	for _, name := range designs.Names() {
		data, _ := designs.Read(name)
		for _, f := range examined(t, data) {
			if f.Severity == finding.Error {
				t.Errorf("%s: %s", name, f.Message)
			}
		}
	}
}

// TestProblemsAreFindings holds that every problem of a pattern is in the
// catalogue under its own name, but for what the kerf of a machine closes: a
// design is judged without one.
func TestProblemsAreFindings(t *testing.T) {
	ofKerf := []pattern.Code{pattern.CodeGapClosed, pattern.CodeHoleLost, pattern.CodeHoleSplit}
	for _, code := range pattern.Codes() {
		if !slices.Contains(ofKerf, code) && finding.Code(code).Info().Title == "" {
			t.Errorf("%s is not in the catalogue of findings", code)
		}
	}
}
