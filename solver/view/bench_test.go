package view

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"foldwright/solver/kinematics"
)

func benchmarkRender(b *testing.B, a *kinematics.Assembly, opening float64, o Options) {
	p := posed(a, opening)
	b.ReportAllocs()
	for b.Loop() {
		if err := Render(io.Discard, a, p, o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRender(b *testing.B) {
	a := compile(b, harbour)
	for _, opening := range []float64{0, 90, 180} {
		b.Run(fmt.Sprintf("harbour/%g", opening), func(b *testing.B) {
			benchmarkRender(b, a, opening, Options{Shadow: true, Labels: true})
		})
	}
	crowd := compile(b, spread(crowded()))
	for _, opening := range []float64{0, 90} {
		b.Run(fmt.Sprintf("crowd/%g", opening), func(b *testing.B) {
			benchmarkRender(b, crowd, opening, Options{Camera: Camera{Viewpoint: Iso}})
		})
	}
}

// crowded is as many V-folds as a design may hold, through one another.
func crowded() string {
	var list []string
	for i := range 200 {
		list = append(list, fmt.Sprintf(`{"id":"gull%d","kind":"v_fold","on":{"fold":"gutter"},"at":%g,"left":{"base_angle":%d,"panel_angle":%d,"base_length":40},"ridge_length":50}`,
			i, float64(i)*0.8+10, 40+i%20, 70+i%15))
	}
	return strings.Join(list, ",")
}

func BenchmarkRenderPNG(b *testing.B) {
	a := compile(b, harbour)
	p := posed(a, 110)
	b.ReportAllocs()
	for b.Loop() {
		if err := RenderPNG(io.Discard, a, p, Options{Shadow: true, Labels: true}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnimate(b *testing.B) {
	a := compile(b, harbour)
	b.ReportAllocs()
	for b.Loop() {
		if err := Animate(io.Discard, a, AnimateOptions{Options: Options{Shadow: true}}); err != nil {
			b.Fatal(err)
		}
	}
}
