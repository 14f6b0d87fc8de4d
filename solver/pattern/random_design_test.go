package pattern

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"
)

// randomDesign draws a document with up to six mechanisms that shut flat, on
// the gutter and on each other's folds.
func randomDesign(t *rapid.T) string {
	number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	one := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	folds := []string{"gutter"}
	var mechanisms []string
	for i := range rapid.IntRange(1, 6).Draw(t, "mechanisms") {
		id := fmt.Sprintf("boat%d", i)
		on := rapid.SampledFrom(folds).Draw(t, "fold")
		side, scale := "inner", 1.0
		if on != "gutter" {
			side, scale = one("side", "inner", "outer"), number("scale", 0.2, 0.6)
		}
		joint := fmt.Sprintf(`{"fix":%q,"tab_side":%q,"tab_depth":%g,"tab_taper":%g}`,
			one("fix", "surface", "slot"), one("tab side", "inner", "outer"), number("tab depth", 2, 25), number("taper", 0, 60))
		head := fmt.Sprintf(`"id":%q,"on":{"fold":%q,"side":%q},"joint":%s`, id, on, side, joint)
		at := number("at", 5, 160) * scale
		switch one("kind", "v_fold", "parallel_fold", "strap") {
		case "v_fold":
			// Leaning away it shuts flat when a1+b1 = a2+b2, and the ridge stays
			// on the page side of the fold while that is under 180. Leaning
			// toward is the same with every base angle taken from 180.
			a := number("a", 15, 140)
			b, skew := number("b", 20, 172-a), number("skew", -12, 12)
			lean, sign := "away", -1.0
			if rapid.Bool().Draw(t, "toward") {
				lean, sign, a = "toward", 1, 180-a
			}
			mechanisms = append(mechanisms, fmt.Sprintf(
				`{%s,"kind":"v_fold","at":%g,"lean":%q,"ridge_length":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":%g},"right":{"base_angle":%g,"panel_angle":%g,"base_length":%g}}`,
				head, at, lean, 70*scale, a, b, number("left base", 30, 90)*scale, a+skew, b+sign*skew, number("right base", 30, 90)*scale))
		case "parallel_fold":
			sum, left, right := number("sum", 70, 120)*scale, number("left", 0.15, 0.49), number("right", 0.15, 0.49)
			mechanisms = append(mechanisms, fmt.Sprintf(
				`{%s,"kind":"parallel_fold","from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g},"right":{"base_offset":%g,"panel_width":%g}}`,
				head, at, at+number("long", 15, 60)*scale, sum*left, sum*(1-left), sum*right, sum*(1-right)))
		default:
			mechanisms = append(mechanisms, fmt.Sprintf(
				`{%s,"kind":"strap","from":%g,"to":%g,"left_offset":%g,"right_offset":%g}`,
				head, at, at+number("long", 15, 60)*scale, number("left", 4, 60)*scale, number("right", 4, 60)*scale))
		}
		folds = append(folds, id+".left_base", id+".ridge", id+".right_base")
	}
	return fmt.Sprintf(`{"spread":{"page_width":130,"page_height":180,"corner_radius":%g,"margin":5},"mechanisms":[%s]}`,
		rapid.SampledFrom([]float64{0, 4, 20}).Draw(t, "corner"), strings.Join(mechanisms, ","))
}
