package draw

import (
	"os/exec"
	"strings"
	"testing"
)

// The colours of the indices are those that ezdxf has.
func TestIndexColors(t *testing.T) {
	const program = `
from ezdxf.colors import DXF_DEFAULT_COLORS as table
print(*("#%06x" % table[i] for i in range(10, 250)))`
	out, err := exec.Command(pythonWithEzdxf(t), "-c", program).Output()
	if err != nil {
		t.Fatal(err)
	}
	table := strings.Fields(string(out))
	for index := firstHue; index < afterHues; index++ {
		if got, want := indexColor(index), table[index-firstHue]; agreed(index) && got != want {
			t.Errorf("%d is %s, ezdxf has %s", index, got, want)
		}
	}
}

func TestNearestIndex(t *testing.T) {
	for index := firstHue; index < afterHues; index++ {
		// Dark colours come twice; which of them is found does not matter.
		if got := nearestIndex(indexColor(index)); agreed(index) && indexColor(got) != indexColor(index) {
			t.Errorf("%s is index %d, found as %d", indexColor(index), index, got)
		}
	}
	for color, want := range map[string]int{"#000000": 7, "#FFFFFF": 7, "#808080": 8, "#fe0101": 10, "#0000ff": 170} {
		if got := nearestIndex(color); got != want {
			t.Errorf("%s: %d, want %d", color, got, want)
		}
	}
	color, index := "#ff0000", 3
	for _, c := range []struct {
		change StyleChange
		want   int
	}{
		{StyleChange{Color: &color}, 10},
		{StyleChange{Color: &color, ACI: &index}, 3},
		{StyleChange{}, DefaultStyles()[Cut].ACI},
	} {
		got, err := ParseStyles(DefaultStyles(), map[string]StyleChange{"cut": c.change})
		if err != nil || got[Cut].ACI != c.want {
			t.Errorf("%+v: %d, want %d (%v)", c.change, got[Cut].ACI, c.want, err)
		}
	}
}

func TestOnly(t *testing.T) {
	d := harbour(t)
	before := len(d.Parts[0].Marks)
	only := Only(d, []Operation{Cut, Label})
	seen := map[Operation]bool{}
	for _, p := range only.Parts {
		for _, m := range p.Marks {
			seen[m.Op] = true
		}
		for _, w := range p.Texts {
			seen[w.Op] = true
		}
	}
	if len(seen) != 2 || !seen[Cut] || !seen[Label] || len(only.Parts) != len(d.Parts) {
		t.Errorf("left: %v in %d parts", seen, len(only.Parts))
	}
	if len(d.Parts[0].Marks) != before {
		t.Error("the drawing itself was changed")
	}
}
