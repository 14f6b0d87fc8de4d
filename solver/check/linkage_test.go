package check

import (
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/kinematics"
)

// A linkage that locks is reported like any other mechanism, and the opening it
// allows is a remedy. Its panels are 40 and 40 wide, its lines 45 and 45 from
// the gutter: they reach 2·asin(80/90) apart, 125.45 degrees.
func TestLinkageThatLocks(t *testing.T) {
	d, err := design.Decode([]byte(`{"spread":{"page_width":120,"page_height":150},"mechanisms":[
		{"id":"awning","kind":"linkage","on":{"fold":"gutter"},
		 "panels":[{"id":"left","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"right","outline":[[0,0],[30,0],[30,40],[0,40]]}],
		 "hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],
		 "glue":[{"panel":"left","edge":0,"to":"left","at":[[70,45],[40,45]]},{"panel":"right","edge":0,"to":"right","at":[[40,45],[70,45]]}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, f := range Design(kinematics.Compile(d)) {
		if f.Code != finding.CannotOpenFully {
			continue
		}
		found = true
		if got := f.At.From.Degrees(); got < 125.4 || got > 125.5 {
			t.Errorf("locks at %g degrees, want 125.45", got)
		}
		if f.Remedy == nil || !strings.Contains(f.Remedy.Changes[0].Pointer, "opens_to") {
			t.Errorf("remedy %+v", f.Remedy)
		}
	}
	if !found {
		t.Error("the lock is not reported")
	}
}
