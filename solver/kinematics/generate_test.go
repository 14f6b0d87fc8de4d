package kinematics

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
)

// The designs drawn here shut flat. To know that they do, the generator keeps
// for every fold the dihedral, on the side stood on, that it has when the book
// is shut.
type shutAngle int

const (
	shut   shutAngle = iota // 0: the gutter, the outside of a base line, the underside of a ridge
	flat                    // π: the inside of a base line
	around                  // 2π: the top of a ridge
)

// standing is a fold and a side of it to stand on.
type standing struct {
	fold, side string
	when       shutAngle
	sheet      bool // both faces are parts of one sheet, to cut from
}

// entry is one mechanism of a document.
type entry map[string]any

// document is a drawn design with what is known of it.
type document struct {
	mechanisms []entry
	// closed maps folds to their dihedral when shut, in half turns.
	closed map[string]shutAngle
	scale  float64 // of every length; 0 is 1
}

func (d *document) json(t rapid.TB) []byte {
	scale := d.scale
	if scale == 0 {
		scale = 1
	}
	data, err := json.Marshal(map[string]any{
		"spread":     map[string]any{"page_width": 200 * scale, "page_height": 300 * scale, "margin": 5 * scale},
		"mechanisms": d.mechanisms,
	})
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func (d *document) compile(t rapid.TB) *Assembly {
	decoded, err := design.Decode(d.json(t))
	if err != nil {
		t.Fatalf("%v in %s", err, d.json(t))
	}
	return Compile(decoded)
}

var harbour = []string{"lighthouse", "quay", "gull", "sail", "crane", "buoy", "trawler", "lamp", "jetty", "anchor", "ferry", "net"}

// decimal draws a number with a few decimals, as people type them.
func decimal(t *rapid.T, label string, lo, hi float64) float64 {
	const perUnit = 100
	return float64(rapid.IntRange(int(math.Ceil(lo*perUnit)), int(math.Floor(hi*perUnit))).Draw(t, label)) / perUnit
}

// unevenness draws a difference between the two sides: none, tiny or large.
func unevenness(t *rapid.T, most float64) float64 {
	size := rapid.SampledFrom([]float64{0, 1e-6, 1e-3, 1, 1, 1}).Draw(t, "unevenness")
	return size * decimal(t, "difference", -most, most)
}

// drawer draws a mechanism of one kind that stands where the fold has the
// given dihedral when shut. It gives the entry without id and host, and the
// dihedrals when shut of the outside of its base lines and of the underside of
// its ridge. ok is false where nothing may stand on it in turn.
type drawer func(t *rapid.T, when shutAngle) (e entry, base, ridge shutAngle, ok bool)

// drawers has a drawer for every kind that stands on a fold.
var drawers = map[design.Kind]drawer{
	"v_fold":         drawVFold,
	"parallel_fold":  drawParallelFold,
	"strap":          drawStrap,
	"cut_step":       drawCutStep,
	"cut_v":          drawCutV,
	"floating_layer": drawFloatingLayer,
	"box":            drawBox,
}

func vSide(base, panel, length float64) entry {
	return entry{"base_angle": base, "panel_angle": panel, "base_length": length}
}

// drawVFold keeps to base lines in the upper half and panels wide enough to
// stand up to 180 degrees, then mirrors the result in a plane across the fold
// half of the time, which makes a lean away one toward.
func drawVFold(t *rapid.T, when shutAngle) (entry, shutAngle, shutAngle, bool) {
	a1 := decimal(t, "a1", 25, 65)
	a2 := a1 + unevenness(t, 10)
	meanA := (a1 + a2) / 2
	b1 := decimal(t, "b1", meanA+12, 165-meanA)
	var b2 float64
	base, ridge := shut, shut
	switch when {
	case shut: // falls away from the fold's start: a1+b1 = a2+b2
		b2 = a1 + b1 - a2
	case flat: // flush as well as shut flat: b1 = a2, b2 = a1
		b1, b2 = a2, a1
		base, ridge = flat, flat
	case around: // slips over the ridge like a hat: a1-b1 = a2-b2
		b2 = a2 - a1 + b1
		base = flat
	}
	lean := "away"
	if rapid.Bool().Draw(t, "toward") {
		lean = "toward"
		a1, a2 = 180-a1, 180-a2
	}
	return entry{
		"kind": "v_fold", "at": decimal(t, "at", -20, 120), "lean": lean,
		"left":         vSide(a1, b1, decimal(t, "left length", 10, 60)),
		"right":        vSide(a2, b2, decimal(t, "right length", 10, 60)),
		"ridge_length": decimal(t, "ridge length", 10, 60),
	}, base, ridge, true
}

func parallelSide(offset, width float64) entry {
	return entry{"base_offset": offset, "panel_width": width}
}

func drawParallelFold(t *rapid.T, when shutAngle) (entry, shutAngle, shutAngle, bool) {
	a1 := decimal(t, "a1", 15, 40)
	a2 := a1 + unevenness(t, 10)
	p1 := decimal(t, "p1", (a1+a2)/2+12, 70)
	var p2 float64
	base, ridge := shut, shut
	switch when {
	case shut:
		p2 = a1 + p1 - a2
	case flat:
		p1, p2 = a2, a1
		base, ridge = flat, flat
	case around:
		p2 = a2 - a1 + p1
		base = flat
	}
	from := decimal(t, "from", -20, 100)
	return entry{
		"kind": "parallel_fold", "from": from, "to": from + decimal(t, "long", 5, 80),
		"left": parallelSide(a1, p1), "right": parallelSide(a2, p2),
	}, base, ridge, true
}

func drawStrap(t *rapid.T, when shutAngle) (entry, shutAngle, shutAngle, bool) {
	left := decimal(t, "left offset", 15, 40)
	from := decimal(t, "from", -20, 100)
	e := entry{
		"kind": "strap", "from": from, "to": from + decimal(t, "long", 5, 80),
		"left_offset": left, "right_offset": left + unevenness(t, 10),
	}
	// Over a ridge a strap is no parallelogram, and its panels go right round.
	return e, when, when, when != around
}

func drawCutStep(t *rapid.T, when shutAngle) (entry, shutAngle, shutAngle, bool) {
	e, base, ridge, ok := drawStrap(t, when)
	e["kind"] = "cut_step"
	return e, base, ridge, ok
}

func drawCutV(t *rapid.T, when shutAngle) (entry, shutAngle, shutAngle, bool) {
	side := func(label string, base float64) entry {
		return entry{"base_angle": base, "base_length": decimal(t, label, 10, 60)}
	}
	a1 := decimal(t, "a1", 25, 65)
	return entry{
		"kind": "cut_v", "at": decimal(t, "at", -20, 120), "ridge_length": decimal(t, "ridge length", 10, 60),
		"left": side("left length", a1), "right": side("right length", a1+unevenness(t, 10)),
	}, when, when, true
}

// panelDrawers has a drawer for every kind that stands on a panel. Drawn at
// rest, all lie in their panel's plane.
var panelDrawers = map[design.Kind]func(t *rapid.T) entry{
	"figure": func(*rapid.T) entry { return entry{"outline": "M0 0 H14 V20 L7 26 L0 20 Z"} },
	"flap": func(t *rapid.T) entry {
		return entry{"hinge_length": decimal(t, "hinge", 5, 30), "depth": decimal(t, "depth", 5, 30)}
	},
	"wheel": func(t *rapid.T) entry { return entry{"radius": decimal(t, "radius", 5, 30)} },
	"pivot_arm": func(t *rapid.T) entry {
		crank := decimal(t, "crank", 5, 10)
		return entry{
			"outline": "M-2 -2 H20 V2 H-2 Z", "crank": crank, "link_length": crank + decimal(t, "longer", 5, 30),
			"crank_angle": decimal(t, "crank angle", 60, 120), "stroke": crank / 4,
		}
	},
	"pull_tab": func(t *rapid.T) entry {
		return entry{"outline": "M0 0 H14 V20 H0 Z", "stroke": decimal(t, "stroke", 5, 30)}
	},
}

// drawOnPanel draws a piece that lies on a panel, with its place.
func drawOnPanel(t *rapid.T, kind design.Kind) entry {
	e := panelDrawers[kind](t)
	e["kind"] = string(kind)
	e["place"] = entry{
		"u": decimal(t, "u", -20, 40), "v": decimal(t, "v", -20, 40), "rotate": decimal(t, "rotate", -180, 180),
	}
	return e
}

// drawDesign draws a design that shuts flat, with mechanisms and figures on
// one another.
func drawDesign(t *rapid.T) *document {
	count := rapid.IntRange(1, len(harbour)).Draw(t, "mechanisms")
	return draw(t, count, false)
}

// drawChain draws eight generations, each on the one before.
func drawChain(t *rapid.T) *document { return draw(t, 8, true) }

// drawKind draws from the catalogue what can stand at the place, or on a panel
// as well.
func drawKind(t *rapid.T, place standing, onFold bool) *design.KindInfo {
	var kinds []*design.KindInfo
	var names []string
	for _, info := range design.Kinds() {
		if info.Panels == nil { // a linkage, which has tests of its own
			continue
		}
		if onFold && info.Stands != design.OnFold || info.OneSheet && !place.sheet || upright(info.Kind) && place.when != shut {
			continue
		}
		kinds, names = append(kinds, info), append(names, string(info.Kind))
	}
	return kinds[slices.Index(names, rapid.SampledFrom(names).Draw(t, "kind"))]
}

func draw(t *rapid.T, count int, chain bool) *document {
	d := &document{closed: map[string]shutAngle{design.Gutter: shut}}
	places := []standing{{fold: design.Gutter, sheet: true}}
	panels := []string{design.PageLeft, design.PageRight}
	for i := range count {
		place := rapid.SampledFrom(places).Draw(t, "place")
		info := drawKind(t, place, chain)
		id := harbour[i]
		if info.Stands == design.OnPanel {
			e := drawOnPanel(t, info.Kind)
			e["id"], e["on"] = id, entry{"panel": rapid.SampledFrom(panels).Draw(t, "panel")}
			d.mechanisms = append(d.mechanisms, e)
			panels = append(panels, id+"."+info.Panels[0])
			continue
		}
		if info.Stands == design.OnPage {
			e := drawSlideTent(t)
			e["id"] = id
			d.mechanisms = append(d.mechanisms, e)
			panels = append(panels, id+".near", id+".far")
			places = append(places, d.close(e)...)
			continue
		}
		e, base, ridge, ok := drawers[info.Kind](t, place.when)
		on := entry{"fold": place.fold}
		if place.side != "" {
			on["side"] = place.side
		}
		e["id"], e["on"] = id, on
		d.mechanisms = append(d.mechanisms, e)
		if upright(info.Kind) {
			if chain {
				places = nil
			}
			places = append(places, d.close(e)...)
			panels = append(panels, id+"."+info.Panels[0])
			continue
		}
		for _, name := range info.Panels {
			panels = append(panels, id+"."+name)
		}
		if !ok {
			continue
		}
		if chain {
			places = nil
		}
		for _, name := range []string{"left_base", "right_base"} {
			d.closed[id+"."+name] = base
			places = append(places,
				standing{id + "." + name, "outer", base, info.OneSheet && base == shut},
				standing{id + "." + name, "inner", flat - base, false})
		}
		d.closed[id+".ridge"] = ridge
		places = append(places, standing{id + ".ridge", "inner", ridge, ridge == shut})
		// The top of a ridge that is flat when shut opens beyond a half turn,
		// where what is flush with it could only tear.
		if ridge == shut {
			places = append(places, standing{id + ".ridge", "outer", around, false})
		}
	}
	return d
}

// drawWild draws a chain of mechanisms with no regard to whether it shuts,
// opens or makes sense.
func drawWild(t *rapid.T) *document {
	d := &document{}
	places := []standing{{fold: design.Gutter}}
	for i := range rapid.IntRange(1, 6).Draw(t, "mechanisms") {
		id := harbour[i]
		from := decimal(t, "from", -200, 200)
		e := entry{}
		switch rapid.SampledFrom([]string{"v_fold", "parallel_fold", "strap", "floating_layer", "box"}).Draw(t, "kind") {
		case "floating_layer":
			e, _, _, _ = drawFloatingLayer(t, shut)
		case "box":
			e, _, _, _ = drawBox(t, shut)
		case "v_fold":
			side := func(name string) entry {
				return vSide(decimal(t, name+" a", 0.5, 179.5), decimal(t, name+" b", 0.5, 179.5), decimal(t, name+" length", 0.1, 200))
			}
			e = entry{"kind": "v_fold", "at": from, "left": side("left"), "right": side("right"),
				"ridge_length": decimal(t, "ridge", 0.1, 200), "lean": rapid.SampledFrom([]string{"away", "toward"}).Draw(t, "lean")}
		case "parallel_fold":
			side := func(name string) entry {
				return parallelSide(decimal(t, name+" a", 0.1, 200), decimal(t, name+" p", 0.1, 200))
			}
			e = entry{"kind": "parallel_fold", "from": from, "to": from + decimal(t, "long", 0.2, 200), "left": side("left"), "right": side("right")}
		case "strap":
			e = entry{"kind": "strap", "from": from, "to": from + decimal(t, "long", 0.2, 200),
				"left_offset": decimal(t, "left", 0.1, 200), "right_offset": decimal(t, "right", 0.1, 200)}
		}
		place := rapid.SampledFrom(places).Draw(t, "place")
		on := entry{"fold": place.fold}
		if place.side != "" {
			on["side"] = place.side
		}
		e["id"], e["on"] = id, on
		d.mechanisms = append(d.mechanisms, e)
		if more := uprightPlaces(e); more != nil {
			places = append(places, slices.Concat(more...)...)
			continue
		}
		for _, name := range []string{"left_base", "ridge", "right_base"} {
			places = append(places, standing{fold: id + "." + name, side: "outer"}, standing{fold: id + "." + name, side: "inner"})
		}
	}
	return d
}

// drawOpening draws an opening in degrees, with the ends and the first tenth of
// a degree as likely as the rest.
func drawOpening(t *rapid.T) float64 {
	switch rapid.IntRange(0, 5).Draw(t, "where") {
	case 0:
		return rapid.SampledFrom([]float64{0.1, 60, 90, 120, 180}).Draw(t, "opening")
	case 1:
		return decimal(t, "opening", 0.1, 1)
	default:
		return decimal(t, "opening", 0.1, 180)
	}
}

// Every kind of the catalogue must be drawn by the properties.
func TestEveryKindIsDrawn(t *testing.T) {
	for _, info := range design.Kinds() {
		if info.Stands == design.OnFold && info.Panels != nil && drawers[info.Kind] == nil {
			t.Errorf("no drawer for kind %s", info.Kind)
		}
		if info.Stands == design.OnPanel && panelDrawers[info.Kind] == nil {
			t.Errorf("no drawer for kind %s", info.Kind)
		}
	}
	seen := map[string]bool{}
	for i := range 200 {
		for _, e := range rapid.Custom(drawDesign).Example(i).mechanisms {
			on := e["on"].(entry)
			seen[fmt.Sprint(e["kind"])] = true
			if side, has := on["side"]; has {
				_, name, _ := strings.Cut(on["fold"].(string), ".")
				seen[fmt.Sprint(name, " ", side)] = true
			}
		}
	}
	want := []string{"left_base outer", "left_base inner", "ridge inner", "ridge outer", "right_base outer", "right_base inner"}
	for _, info := range design.Kinds() {
		if info.Panels != nil {
			want = append(want, string(info.Kind))
		}
	}
	for _, w := range want {
		if !seen[w] {
			t.Errorf("200 designs have no %s", w)
		}
	}
}
