package check

import (
	"fmt"
	"strings"
	"testing"

	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
	"foldwright/testdata/faults"
)

// Designs made to be dear: hundreds of faults, faults in each other's way, and
// figures of as fine a line as is taken.
func BenchmarkCheckWorst(b *testing.B) {
	crowd := make([]string, 200)
	for i := range crowd {
		crowd[i] = fmt.Sprintf(`{"id":"m%d","kind":"v_fold","on":{"fold":"gutter"},"at":%d,
			"left":{"base_angle":60,"panel_angle":45,"base_length":200},"ridge_length":300}`, i, i)
	}
	tower := []string{`{"id":"m0","kind":"v_fold","on":{"fold":"gutter"},"at":3,
		"left":{"base_angle":60,"panel_angle":65,"base_length":200},"ridge_length":300}`}
	for i := 1; i < 200; i++ {
		tower = append(tower, fmt.Sprintf(`{"id":"m%d","kind":"v_fold","on":{"fold":"m%d.left_base"},"at":3,
			"left":{"base_angle":60,"panel_angle":65,"base_length":200},"ridge_length":300}`, i, i-1))
	}
	edge := "M0 0" + strings.Repeat("A90 90 0 0 1 100 0A90 90 0 0 1 0 0", 10) + "Z"
	figures := make([]string, 200)
	for i := range figures {
		figures[i] = fmt.Sprintf(`{"id":"m%d","kind":"figure","on":{"panel":"page.left"},"outline":%q,"place":{"u":-50,"v":90}}`, i, edge)
	}
	for _, row := range []struct {
		name string
		list []string
	}{{"crowd", crowd}, {"tower", tower}, {"figures", figures}} {
		b.Run(row.name, func(b *testing.B) {
			a := kinematics.Compile(decode(b, pageOf130, strings.Join(row.list, ",")))
			for b.Loop() {
				found := Design(a)
				without := 0
				for _, f := range found {
					if f.Remedy == nil {
						without++
					}
				}
				b.ReportMetric(float64(len(found)), "findings")
				b.ReportMetric(float64(without), "without")
			}
		})
	}
}

// The search for remedies: an example with faults, a fault that cannot be proved away,
// and boxes that run into one another, of which every change must be swept.
func BenchmarkRemedies(b *testing.B) {
	generations, _ := designs.Read("generations")
	undecided, _ := faults.Read("clearance_undecided")
	crates := []byte(`{"spread":{` + pageOf130 + `},"mechanisms":[
		{"id":"crate","kind":"box","on":{"fold":"gutter"},"from":20,"to":80,"left_offset":30,"height":30,"lid":true},
		{"id":"chest","kind":"box","on":{"fold":"gutter"},"from":60,"to":120,"left_offset":32,"height":25,"lid":true},
		{"id":"mast","kind":"v_fold","on":{"fold":"gutter"},"at":70,"left":{"base_angle":55,"panel_angle":75,"base_length":50},"ridge_length":60}]}`)
	for _, row := range []struct {
		name     string
		document []byte
	}{{"generations", generations}, {"undecided", undecided}, {"crates", crates}} {
		b.Run(row.name, func(b *testing.B) {
			a := kinematics.Compile(decodeDocument(b, row.document))
			for b.Loop() {
				Design(a)
			}
		})
	}
}
