package pattern

import (
	"fmt"
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

func benchmarkMake(b *testing.B, document string) {
	a := assembly(b, document)
	b.ReportAllocs()
	for b.Loop() {
		mustMake(b, a, DefaultOptions())
	}
}
