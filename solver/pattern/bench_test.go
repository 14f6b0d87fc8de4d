package pattern

import "testing"

func BenchmarkMakeHarbour(b *testing.B) {
	a := assembly(b, harbour)
	b.ReportAllocs()
	for b.Loop() {
		mustMake(b, a, DefaultOptions())
	}
}
