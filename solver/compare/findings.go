package compare

import (
	"math"
	"slices"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// Finding is a finding of either design, or of both where its amount or severity
// changed.
type Finding struct {
	Change        Change
	Before, After *finding.Finding
}

// Findings lists what checks of the later design find that they did not in the
// earlier, or not so; then what is cured. Two findings are the same fault where
// code, mechanism and panels are the same.
func Findings(before, after *design.Design, was, is []finding.Finding) []Finding {
	known := map[string][]int{}
	for i := range was {
		name := fault(before, &was[i])
		known[name] = append(known[name], i)
	}
	met := make([]bool, len(was))
	var out []Finding
	for i := range is {
		name := fault(after, &is[i])
		rest := known[name]
		if len(rest) == 0 {
			out = append(out, Finding{Change: Added, After: &is[i]})
			continue
		}
		known[name], met[rest[0]] = rest[1:], true
		if f := &was[rest[0]]; f.Severity != is[i].Severity || !sameAmount(f.Amount, is[i].Amount) {
			out = append(out, Finding{Changed, f, &is[i]})
		}
	}
	for i := range was {
		if !met[i] {
			out = append(out, Finding{Change: Removed, Before: &was[i]})
		}
	}
	return out
}

func fault(d *design.Design, f *finding.Finding) string {
	panels := slices.Sorted(slices.Values(f.Where.Panels))
	of := ""
	if f.Mechanism >= 0 {
		of = d.Mechanisms[f.Mechanism].ID
	}
	return strings.Join(append([]string{string(f.Code), of}, panels...), " ")
}

func sameAmount(a, b finding.Amount) bool {
	return a.Unit == b.Unit && math.Abs(a.Value-b.Value) <= sameMeasure
}
