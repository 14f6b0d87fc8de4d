package pattern

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

func BenchmarkMakeHarbour(b *testing.B) { benchmarkMake(b, harbour) }

// The most mechanisms a design may hold: a hundred tents along the gutter, each
// with a strap on its ridge.
func BenchmarkMakeFull(b *testing.B) {
	var list []string
	for i := range 100 {
		list = append(list,
			fmt.Sprintf(`{"id":"tent%d","kind":"parallel_fold","on":{"fold":"gutter"},"from":%d,"to":%d,"left":{"base_offset":30,"panel_width":40}}`, i, 10+14*i, 20+14*i),
			fmt.Sprintf(`{"id":"strap%d","kind":"strap","on":{"fold":"tent%d.ridge"},"from":1,"to":9,"left_offset":15,"right_offset":12}`, i, i))
	}
	benchmarkMake(b, `{"spread":{"page_width":100,"page_height":1450,"corner_radius":4},"mechanisms":[`+strings.Join(list, ",")+`]}`)
}

// crowded has many mechanisms of one sort, in rows of a wide page: as many as a
// design may hold, or as fit.
func crowded(count, perRow int, pitchU, pitchV float64, entry func(i int) string, place bool) string {
	var list []string
	for i := range count {
		e := entry(i)
		if place {
			e = fmt.Sprintf(e, 40+pitchU*float64(i/perRow), 40+pitchV*float64(i%perRow))
		}
		list = append(list, e)
	}
	return `{"spread":{"page_width":1000,"page_height":1500},"mechanisms":[` + strings.Join(list, ",") + `]}`
}

// fullDesigns are the designs that take longest.
func fullDesigns() map[string]string {
	return map[string]string{
		"v_folds": crowded(200, 1, 0, 0, func(i int) string {
			return fmt.Sprintf(`{"id":"v%d","kind":"v_fold","on":{"fold":"gutter"},"at":%g,"left":{"base_angle":50,"panel_angle":70,"base_length":12},"ridge_length":12,"joint":{"tab_depth":2}}`, i, 10+7*float64(i))
		}, false),
		"wheels_in_one_place": crowded(200, 200, 0, 0, func(i int) string {
			return fmt.Sprintf(`{"id":"w%d","kind":"wheel","on":{"panel":"page.right"},"place":{"u":%%g,"v":%%g},"radius":30,"detents":12}`, i)
		}, true),
		"pull_tabs": crowded(200, 8, 57, 110, func(i int) string {
			return fmt.Sprintf(`{"id":"p%d","kind":"pull_tab","on":{"panel":"page.right"},"place":{"u":%%g,"v":%%g,"rotate":90},"outline":"M0 -8 H20 V14 H0 Z","stroke":15,"strip":{"width":10,"length":45}}`, i)
		}, true),
		"wheels": crowded(200, 10, 72, 95, func(i int) string {
			return fmt.Sprintf(`{"id":"w%d","kind":"wheel","on":{"panel":"page.right"},"place":{"u":%%g,"v":%%g},"radius":30,"detents":12}`, i)
		}, true),
		"detents": crowded(40, 8, 110, 110, func(i int) string {
			return fmt.Sprintf(`{"id":"w%d","kind":"wheel","on":{"panel":"page.right"},"place":{"u":%%g,"v":%%g},"radius":38,"detents":72}`, i)
		}, true),
		"pivot_arms": crowded(60, 6, 120, 150, func(i int) string {
			return fmt.Sprintf(`{"id":"a%d","kind":"pivot_arm","on":{"panel":"page.right"},"place":{"u":%%g,"v":%%g,"rotate":90},"outline":"M-5 -5 H5 V30 H-5 Z","crank":12,"crank_angle":110,"link_length":40,"stroke":14,"strip":{"length":80}}`, i)
		}, true),
	}
}

func BenchmarkMakeCrowded(b *testing.B) {
	all := fullDesigns()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		b.Run(name, func(b *testing.B) { benchmarkMake(b, all[name]) })
	}
}

func benchmarkMake(b *testing.B, document string) {
	a := assembly(b, document)
	b.ReportAllocs()
	for b.Loop() {
		mustMake(b, a, DefaultOptions())
	}
}
