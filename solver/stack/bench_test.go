package stack

import (
	"fmt"
	"strings"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/kinematics"
	"foldwright/solver/pattern"
	"foldwright/testdata/designs"
)

// listed is a wide page with a number of mechanisms.
func listed(count int, entry func(i int) string) string {
	list := make([]string, count)
	for i := range list {
		list[i] = entry(i)
	}
	return `{"spread":{"page_width":1000,"page_height":1500},"mechanisms":[` + strings.Join(list, ",") + `]}`
}

// full are designs with as many mechanisms as there may be: V-folds along the
// gutter, one in the other's way; straps on tents; boxes in one place; discs on
// one another.
var full = map[string]string{
	"v_folds": listed(200, func(i int) string {
		return fmt.Sprintf(`{"id":"v%d","kind":"v_fold","on":{"fold":"gutter"},"at":%g,"left":{"base_angle":50,"panel_angle":70,"base_length":40},"ridge_length":40}`, i, 10+7*float64(i))
	}),
	"tents": listed(200, func(i int) string {
		if i%2 == 0 {
			return fmt.Sprintf(`{"id":"tent%d","kind":"parallel_fold","on":{"fold":"gutter"},"from":%d,"to":%d,"left":{"base_offset":30,"panel_width":40}}`, i, 10+7*i, 20+7*i)
		}
		return fmt.Sprintf(`{"id":"strap%d","kind":"strap","on":{"fold":"tent%d.ridge"},"from":1,"to":9,"left_offset":15,"right_offset":12}`, i, i-1)
	}),
	"crates": listed(200, func(i int) string {
		k := float64(i)
		return fmt.Sprintf(`{"id":"crate%d","kind":"box","on":{"fold":"gutter"},"from":%g,"to":%g,"left_offset":%g,"right_offset":%g,"height":%g,"lid":true}`,
			i, 20+0.3*k, 100+0.37*k, 20+0.21*k, 21+0.23*k, 25+0.19*k)
	}),
	"discs": listed(200, func(i int) string {
		return fmt.Sprintf(`{"id":"w%d","kind":"wheel","on":{"panel":"page.right"},"place":{"u":%g,"v":%g},"radius":30,"detents":12}`, i, 50+float64(i), 50+float64(i%7))
	}),
}

func benchmarkJudge(b *testing.B, document []byte) {
	d, err := design.Decode(document)
	if err != nil {
		b.Fatal(err)
	}
	a := kinematics.Compile(d)
	p, err := pattern.Make(a, pattern.DefaultOptions())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	var r *Result
	for b.Loop() {
		if r, err = Judge(a, p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(r.Pieces)), "pieces")
	b.ReportMetric(float64(len(r.Pairs)), "pairs")
}

func BenchmarkJudgeHarbour(b *testing.B) {
	document, _ := designs.Read("harbour")
	benchmarkJudge(b, document)
}

func BenchmarkJudgeFull(b *testing.B) {
	for _, name := range []string{"v_folds", "tents", "crates", "discs"} {
		b.Run(name, func(b *testing.B) { benchmarkJudge(b, []byte(full[name])) })
	}
}
