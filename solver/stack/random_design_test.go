package stack

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"
)

// randomDesign draws a document with up to eight mechanisms that shut flat, on
// the gutter, on base folds and ridges, and on panels. They may lie in each
// other's way.
func randomDesign(t *rapid.T) string {
	number := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	one := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	folds, panels := []string{"gutter"}, []string{"page.left", "page.right"}
	var mechanisms []string
	for i := range rapid.IntRange(1, 8).Draw(t, "mechanisms") {
		id := fmt.Sprintf("boat%d", i)
		if one("stands", "fold", "fold", "fold", "panel") == "panel" {
			place := fmt.Sprintf(`"place":{"u":%g,"v":%g,"rotate":%g}`, number("u", 5, 100), number("v", 5, 60), number("rotate", -180, 180))
			kind := one("piece", `"kind":"figure","outline":"M0 0 H14 V20 L7 26 L0 20 Z"`, `"kind":"wheel","radius":14`, `"kind":"flap","hinge_length":20,"depth":15`)
			mechanisms = append(mechanisms, fmt.Sprintf(`{"id":%q,"on":{"panel":%q},%s,%s}`, id, rapid.SampledFrom(panels).Draw(t, "panel"), kind, place))
			continue
		}
		on := rapid.SampledFrom(folds).Draw(t, "fold")
		scale := 1.0
		if on != "gutter" {
			scale = number("scale", 0.2, 0.6)
		}
		head := fmt.Sprintf(`"id":%q,"on":{"fold":%q},"joint":{"fix":%q,"tab_side":%q}`,
			id, on, one("fix", "surface", "slot"), one("tab side", "inner", "outer"))
		at := number("at", 5, 160) * scale
		kind := one("kind", "v_fold", "parallel_fold", "strap", "box", "floating_layer")
		switch kind {
		case "v_fold":
			a := number("a", 15, 140)
			b, skew := number("b", 20, 172-a), number("skew", -12, 12)
			mechanisms = append(mechanisms, fmt.Sprintf(
				`{%s,"kind":"v_fold","at":%g,"ridge_length":%g,"left":{"base_angle":%g,"panel_angle":%g,"base_length":%g},"right":{"base_angle":%g,"panel_angle":%g,"base_length":%g}}`,
				head, at, 70*scale, a, b, number("left base", 30, 90)*scale, a+skew, b-skew, number("right base", 30, 90)*scale))
		case "parallel_fold":
			sum, left, right := number("sum", 70, 120)*scale, number("left", 0.15, 0.49), number("right", 0.15, 0.49)
			mechanisms = append(mechanisms, fmt.Sprintf(
				`{%s,"kind":"parallel_fold","from":%g,"to":%g,"left":{"base_offset":%g,"panel_width":%g},"right":{"base_offset":%g,"panel_width":%g}}`,
				head, at, at+number("long", 15, 60)*scale, sum*left, sum*(1-left), sum*right, sum*(1-right)))
		default:
			extra := map[string]string{
				"strap":          "",
				"box":            fmt.Sprintf(`,"height":%g,"lid":true`, number("height", 20, 40)*scale),
				"floating_layer": fmt.Sprintf(`,"height":%g,"left_extent":%g`, number("height", 20, 40)*scale, 70*scale),
			}[kind]
			offsets := fmt.Sprintf(`"left_offset":%g,"right_offset":%g`, number("left", 14, 60)*scale, number("right", 14, 60)*scale)
			if kind == "floating_layer" {
				offsets = fmt.Sprintf(`"left_support":%g`, number("left", 14, 60)*scale)
			}
			mechanisms = append(mechanisms, fmt.Sprintf(`{%s,"kind":%q,"from":%g,"to":%g,%s%s}`,
				head, kind, at, at+number("long", 15, 60)*scale, offsets, extra))
			if kind != "strap" {
				continue
			}
		}
		folds = append(folds, id+".left_base", id+".ridge", id+".right_base")
		panels = append(panels, id+".left", id+".right")
	}
	return fmt.Sprintf(`{"spread":{"page_width":130,"page_height":180,"corner_radius":4},"mechanisms":[%s]}`, strings.Join(mechanisms, ","))
}
