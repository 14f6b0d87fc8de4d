package design

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// harbourMorning is the document that the project's description shows.
const harbourMorning = `{
  "title": "Harbour morning", "units": "mm",
  "paper": {"caliper": 0.3, "grammage": 240, "grain": "along_gutter"},
  "spread": {"page_width": 130, "page_height": 180, "corner_radius": 4, "margin": 5, "opens_to": 180},
  "mechanisms": [
    {"id": "lighthouse", "kind": "v_fold", "on": {"fold": "gutter"}, "at": 100,
     "left": {"base_angle": 55, "panel_angle": 90, "base_length": 70}, "ridge_length": 85},
    {"id": "quay", "kind": "parallel_fold", "on": {"fold": "gutter"}, "from": 8, "to": 26,
     "left": {"base_offset": 22, "panel_width": 34}},
    {"id": "gull", "kind": "v_fold", "on": {"fold": "lighthouse.left_base", "side": "outer"}, "at": 30,
     "left": {"base_angle": 50, "panel_angle": 75, "base_length": 25}, "ridge_length": 30},
    {"id": "lamp", "kind": "figure", "on": {"panel": "lighthouse.right"},
     "outline": "M0 0 H14 V20 H0 Z", "place": {"u": 30, "v": 20, "rotate": 0}}
  ]
}`

func decode(t testing.TB, document string) *Design {
	t.Helper()
	d, err := Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestDecodeDocument(t *testing.T) {
	d := decode(t, harbourMorning)
	if d.Title != "Harbour morning" || d.Units != Millimetres {
		t.Errorf("title %q in %s", d.Title, d.Units)
	}
	if want := (Paper{Caliper: 0.3, Grammage: 240, Grain: AlongGutter, Springback: 1.15, GlueFilm: 0.08}); d.Paper != want {
		t.Errorf("paper %+v, want %+v", d.Paper, want)
	}
	if want := (Spread{PageWidth: 130, PageHeight: 180, CornerRadius: 4, Margin: 5, OpensTo: math.Pi}); d.Spread != want {
		t.Errorf("spread %+v, want %+v", d.Spread, want)
	}
	lighthouse := d.Mechanisms[0].Spec.(*VFold)
	left, right := lighthouse.Sides()
	if left.BaseAngle != geom.Degrees(55) || left.PanelAngle != geom.Degrees(90) || left.BaseLength != 70 ||
		lighthouse.At != 100 || lighthouse.RidgeLength != 85 || lighthouse.Lean != Away {
		t.Errorf("lighthouse %+v", lighthouse)
	}
	if right.BaseAngle != left.BaseAngle || right.PanelAngle != left.PanelAngle || right.BaseLength != left.BaseLength {
		t.Errorf("right %+v does not mirror left %+v", right, left)
	}
	quay := d.Mechanisms[1].Spec.(*ParallelFold)
	if quay.From != 8 || quay.To != 26 || quay.Left.BaseOffset != 22 || quay.Left.PanelWidth != 34 || quay.Right != nil {
		t.Errorf("quay %+v", quay)
	}
	if want := (Host{Fold: "lighthouse.left_base", Side: Outer}); d.Mechanisms[2].On != want {
		t.Errorf("gull stands on %+v", d.Mechanisms[2].On)
	}
	lamp := d.Mechanisms[3].Spec.(*Figure)
	if area := math.Abs(lamp.Outline.Area()); math.Abs(area-14*20) > 1e-9 {
		t.Errorf("lamp has an area of %g", area)
	}
	if want := (Place{U: 30, V: 20}); lamp.Place != want {
		t.Errorf("lamp at %+v", lamp.Place)
	}
}

// Sides not given: the gutter and a ridge are stood on from inside, a base line
// from outside.
func TestDefaultSides(t *testing.T) {
	strap := func(id, fold string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"strap","on":{"fold":%q},"from":1,"to":2,"left_offset":3,"right_offset":4}`, id, fold)
	}
	d := decode(t, `{"spread":{"page_width":100,"page_height":100},"mechanisms":[`+strings.Join([]string{
		strap("a", "gutter"), strap("b", "a.left_base"), strap("c", "a.ridge"), strap("e", "a.right_base"),
	}, ",")+`]}`)
	for i, want := range []Side{Inner, Outer, Inner, Outer} {
		if got := d.Mechanisms[i].On.Side; got != want {
			t.Errorf("%s is stood on from the %s side, want %s", d.Mechanisms[i].On.Fold, got, want)
		}
	}
}

func TestDefaults(t *testing.T) {
	d := decode(t, `{"spread":{"page_width":100,"page_height":150}}`)
	if want := (Paper{Caliper: 0.3, Grammage: 240, Grain: AlongGutter, Springback: 1.15, GlueFilm: 0.08}); d.Paper != want {
		t.Errorf("paper %+v, want %+v", d.Paper, want)
	}
	if want := (Spread{PageWidth: 100, PageHeight: 150, Margin: 5, OpensTo: math.Pi}); d.Spread != want {
		t.Errorf("spread %+v, want %+v", d.Spread, want)
	}
	if d.Units != Millimetres || len(d.Mechanisms) != 0 || len(d.Tags) != 0 {
		t.Errorf("%+v", d)
	}
}

// An inch is 25.4 mm, by definition. Defaults stay what they are in mm.
func TestInches(t *testing.T) {
	d := decode(t, `{"units":"in","spread":{"page_width":5,"page_height":7},"mechanisms":[
		{"id":"buoy","kind":"figure","on":{"panel":"page.left"},"outline":"M0 0 H1 V2 H0 Z","place":{"u":1,"v":0.5,"rotate":90}}]}`)
	if d.Spread.PageWidth != 127 || math.Abs(d.Spread.PageHeight-177.8) > 1e-12 || d.Spread.Margin != 5 {
		t.Errorf("spread %+v", d.Spread)
	}
	buoy := d.Mechanisms[0].Spec.(*Figure)
	if area := math.Abs(buoy.Outline.Area()); math.Abs(area-2*25.4*25.4) > 1e-9 {
		t.Errorf("area %g", area)
	}
	if buoy.Place.U != 25.4 || buoy.Place.V != 12.7 || buoy.Place.Rotate != geom.Degrees(90) {
		t.Errorf("place %+v", buoy.Place)
	}
	// The narrowest page, 20 mm, is allowed whichever way it rounds in inches.
	for _, width := range []float64{20 / 25.4, math.Nextafter(20/25.4, 0), 1000 / 25.4, math.Nextafter(1000/25.4, 100)} {
		decode(t, fmt.Sprintf(`{"units":"in","spread":{"page_width":%v,"page_height":7,"margin":0.1}}`, width))
	}
}

func TestHostsComeFirst(t *testing.T) {
	strap := func(id, fold string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"strap","on":{"fold":%q},"from":1,"to":2,"left_offset":3,"right_offset":4}`, id, fold)
	}
	d := decode(t, `{"spread":{"page_width":100,"page_height":100},"mechanisms":[`+strings.Join([]string{
		strap("top", "middle.ridge"), strap("middle", "low.left_base"), strap("other", "gutter"), strap("low", "gutter"),
		`{"id":"flag","kind":"figure","on":{"panel":"top.left"},"outline":"M0 0H9V9Z"}`,
	}, ",")+`]}`)
	placed := map[int]bool{}
	for _, i := range d.Order() {
		for _, host := range d.HostsOf(i) {
			if !placed[host] {
				t.Errorf("%s comes before its host", d.Mechanisms[i].ID)
			}
		}
		placed[i] = true
	}
	if len(placed) != len(d.Mechanisms) {
		t.Errorf("order has %d of %d mechanisms", len(placed), len(d.Mechanisms))
	}
	if got := d.HostsOf(0); !slices.Equal(got, []int{1}) {
		t.Errorf("top stands on %v, want [1]", got)
	}
}

// wrong is a document with one fault, and where and what it is.
type wrong struct {
	name, document, pointer string
	code                    Code
}

// spreadWith is a document whose spread, a good one, has more fields.
func spreadWith(fields string) string {
	return `{"spread":{"page_width":100,"page_height":100` + fields + `}}`
}

// with is a document with the mechanisms.
func with(mechanisms ...string) string {
	return `{"spread":{"page_width":100,"page_height":100},"mechanisms":[` + strings.Join(mechanisms, ",") + `]}`
}

const (
	vSideJSON  = `{"base_angle":45,"panel_angle":60,"base_length":40}`
	goodVFold  = `{"id":"sail","kind":"v_fold","on":{"fold":"gutter"},"at":50,"left":` + vSideJSON + `,"ridge_length":50}`
	goodStrap  = `{"id":"gangway","kind":"strap","on":{"fold":"gutter"},"from":1,"to":20,"left_offset":3,"right_offset":4}`
	goodWheel  = `{"id":"clock","kind":"wheel","on":{"panel":"page.right"},"place":{"u":75,"v":62},"radius":40,"window":"M10 -12H32V12H10Z"}`
	goodFigure = `{"id":"lamp","kind":"figure","on":{"panel":"page.left"},"outline":"M0 0H9V9Z"}`
)

// swap puts one text in the place of another in a good mechanism.
func swap(good, old, with string) string {
	if !strings.Contains(good, old) {
		panic("no " + old)
	}
	return strings.Replace(good, old, with, 1)
}

func faulty() []wrong {
	deep := strings.Repeat(`[`, 40) + strings.Repeat(`]`, 40)
	many := make([]string, MaxMechanisms+1)
	for i := range many {
		many[i] = fmt.Sprintf(`{"id":"b%d","kind":"figure","on":{"panel":"page.left"},"outline":"M0 0H9V9Z"}`, i)
	}
	return []wrong{
		{"nothing", ``, "", CodeMalformed},
		{"cut short", `{"spread":{"page_width":100`, "/spread", CodeMalformed},
		{"not JSON", `{"spread":harbour}`, "/spread", CodeMalformed},
		{"trailing text", `{"spread":{"page_width":100,"page_height":100}} and so on`, "", CodeMalformed},
		{"second document", `{"spread":{"page_width":100,"page_height":100}}{}`, "", CodeMalformed},
		{"not UTF-8", "{\"title\":\"\xff\",\"spread\":{\"page_width\":100,\"page_height\":100}}", "", CodeMalformed},
		{"deep nesting", `{"mechanisms":` + deep + `}`, "/mechanisms" + strings.Repeat("/0", 15), CodeTooDeep},

		{"duplicate key", `{"title":"a","title":"b","spread":{"page_width":100,"page_height":100}}`, "/title", CodeDuplicate},
		{"duplicate key in a mechanism", with(swap(goodVFold, `"at":50`, `"at":50,"at":60`)), "/mechanisms/0/at", CodeDuplicate},
		{"duplicate key, written otherwise", `{"title":"a","ti\u0074le":"b"}`, "/title", CodeDuplicate},

		{"document is a list", `[]`, "", CodeWrongType},
		{"document is null", `null`, "", CodeWrongType},
		{"spread is a number", `{"spread":100}`, "/spread", CodeWrongType},
		{"width is text", `{"spread":{"page_width":"wide","page_height":100}}`, "/spread/page_width", CodeWrongType},
		{"width is null", `{"spread":{"page_width":null,"page_height":100}}`, "/spread/page_width", CodeWrongType},
		{"title is a number", swap(spreadWith(``), `{`, `{"title":7,`), "/title", CodeWrongType},
		{"mechanisms is an object", swap(spreadWith(``), `{`, `{"mechanisms":{},`), "/mechanisms", CodeWrongType},
		{"mechanism is text", with(`"sail"`), "/mechanisms/0", CodeWrongType},
		{"tag is a number", swap(spreadWith(``), `{`, `{"tags":["sea",7],`), "/tags/1", CodeWrongType},
		{"outline is a list", with(swap(goodFigure, `"M0 0H9V9Z"`, `[]`)), "/mechanisms/0/outline", CodeWrongType},
		{"id is a boolean", with(swap(goodVFold, `"sail"`, `true`)), "/mechanisms/0/id", CodeWrongType},

		{"no spread", `{}`, "/spread", CodeMissing},
		{"no height", `{"spread":{"page_width":100}}`, "/spread/page_height", CodeMissing},
		{"no kind", with(swap(goodVFold, `"kind":"v_fold",`, ``)), "/mechanisms/0/kind", CodeMissing},
		{"no id", with(swap(goodVFold, `"id":"sail",`, ``)), "/mechanisms/0/id", CodeMissing},
		{"no host", with(swap(goodVFold, `"on":{"fold":"gutter"},`, ``)), "/mechanisms/0/on", CodeMissing},
		{"host is text", with(swap(goodVFold, `{"fold":"gutter"}`, `"gutter"`)), "/mechanisms/0/on", CodeWrongType},
		{"fold is a number", with(swap(goodVFold, `"gutter"`, `7`)), "/mechanisms/0/on/fold", CodeWrongType},
		{"host without a fold", with(swap(goodVFold, `{"fold":"gutter"}`, `{}`)), "/mechanisms/0/on/fold", CodeMissing},
		{"host without a panel", with(swap(goodFigure, `{"panel":"page.left"}`, `{}`)), "/mechanisms/0/on/panel", CodeMissing},
		{"no panel angle", with(swap(goodVFold, `"panel_angle":60,`, ``)), "/mechanisms/0/left/panel_angle", CodeMissing},

		{"unknown field", swap(spreadWith(``), `{`, `{"colour":"red",`), "/colour", CodeUnknown},
		{"unknown field with a slash", swap(spreadWith(``), `{`, `{"a/b~c":1,`), "/a~1b~0c", CodeUnknown},
		{"unknown field of a side", with(swap(goodVFold, `"base_length":40`, `"base_length":40,"width":1`)), "/mechanisms/0/left/width", CodeUnknown},
		{"field of another kind", with(swap(goodStrap, `"to":20`, `"to":20,"at":7`)), "/mechanisms/0/at", CodeUnknown},

		{"narrow page", `{"spread":{"page_width":19.9,"page_height":100}}`, "/spread/page_width", CodeOutOfRange},
		{"number beyond all", `{"spread":{"page_width":1e999,"page_height":100}}`, "/spread/page_width", CodeOutOfRange},
		{"narrow page in inches", `{"units":"in","spread":{"page_width":0.78,"page_height":7,"margin":0.1}}`, "/spread/page_width", CodeOutOfRange},
		{"millimetres given as inches", `{"units":"in","spread":{"page_width":130,"page_height":7}}`, "/spread/page_width", CodeOutOfRange},
		{"flat angle", with(swap(goodVFold, `"base_angle":45`, `"base_angle":180`)), "/mechanisms/0/left/base_angle", CodeOutOfRange},
		{"no angle", with(swap(goodVFold, `"panel_angle":60`, `"panel_angle":0`)), "/mechanisms/0/left/panel_angle", CodeOutOfRange},
		{"opens too far", spreadWith(`,"opens_to":181`), "/spread/opens_to", CodeOutOfRange},
		{"corners too round", spreadWith(`,"corner_radius":51`), "/spread/corner_radius", CodeOutOfRange},
		{"margin over all", spreadWith(`,"margin":50`), "/spread/margin", CodeOutOfRange},
		{"ends before it begins", with(swap(goodStrap, `"to":20`, `"to":1`)), "/mechanisms/0/to", CodeOutOfRange},
		{"end that is no number", with(swap(goodStrap, `"to":20`, `"to":null`)), "/mechanisms/0/to", CodeWrongType},
		{"beginning that is missing", with(swap(goodStrap, `"from":1,`, ``)), "/mechanisms/0/from", CodeMissing},
		{"disc within its pivot hole", with(swap(goodWheel, `"radius":40`, `"radius":3`)), "/mechanisms/0/radius", CodeOutOfRange},
		{"pivot hole around its disc", with(swap(goodWheel, `"radius":40`, `"radius":3,"pivot_hole":3`)), "/mechanisms/0/pivot_hole", CodeOutOfRange},
		{"long title", swap(spreadWith(``), `{`, `{"title":"`+strings.Repeat("ø", 201)+`",`), "/title", CodeOutOfRange},
		{"empty tag", swap(spreadWith(``), `{`, `{"tags":[""],`), "/tags/0", CodeOutOfRange},
		{"figure larger than any sheet", with(swap(goodFigure, `M0 0H9V9Z`, `M0 0H3000V9Z`)), "/mechanisms/0/outline", CodeOutOfRange},

		{"unknown unit", swap(spreadWith(``), `{`, `{"units":"fathom",`), "/units", CodeNotAllowed},
		{"unknown kind", with(swap(goodVFold, `"v_fold"`, `"breakwater"`)), "/mechanisms/0/kind", CodeNotAllowed},
		{"unknown lean", with(swap(goodVFold, `"at":50`, `"at":50,"lean":"aft"`)), "/mechanisms/0/lean", CodeNotAllowed},
		{"unknown side", with(swap(goodVFold, `"fold":"gutter"`, `"fold":"gutter","side":"port"`)), "/mechanisms/0/on/side", CodeNotAllowed},
		{"gutter from outside", with(swap(goodVFold, `"fold":"gutter"`, `"fold":"gutter","side":"outer"`)), "/mechanisms/0/on/side", CodeNotAllowed},
		{"V-fold on a panel", with(swap(goodVFold, `"fold":"gutter"`, `"panel":"page.left"`)), "/mechanisms/0/on/panel", CodeNotAllowed},
		{"figure on a fold as well", with(swap(goodFigure, `"panel":"page.left"`, `"panel":"page.left","fold":"gutter"`)), "/mechanisms/0/on/fold", CodeNotAllowed},
		{"side of a panel", with(swap(goodFigure, `"panel":"page.left"`, `"panel":"page.left","side":"inner"`)), "/mechanisms/0/on/side", CodeNotAllowed},

		{"too many mechanisms", with(many...), "/mechanisms", CodeTooMany},
		{"too many tags", swap(spreadWith(``), `{`, `{"tags":[`+strings.Repeat(`"a",`, 20)+`"a"],`), "/tags", CodeTooMany},

		{"id in capitals", with(swap(goodVFold, `"sail"`, `"Sail"`)), "/mechanisms/0/id", CodeBadID},
		{"id with a dot", with(swap(goodVFold, `"sail"`, `"sail.one"`)), "/mechanisms/0/id", CodeBadID},
		{"id beginning with a digit", with(swap(goodVFold, `"sail"`, `"1sail"`)), "/mechanisms/0/id", CodeBadID},
		{"id of the gutter", with(swap(goodVFold, `"sail"`, `"gutter"`)), "/mechanisms/0/id", CodeBadID},
		{"id of a page", with(swap(goodVFold, `"sail"`, `"page"`)), "/mechanisms/0/id", CodeBadID},
		{"same id twice", with(goodVFold, goodVFold), "/mechanisms/1/id", CodeDuplicateID},

		{"unknown host", with(swap(goodVFold, `"gutter"`, `"mast.ridge"`)), "/mechanisms/0/on/fold", CodeUnknownHost},
		{"unknown fold of a host", with(goodVFold, swap(goodStrap, `"gutter"`, `"sail.hem"`)), "/mechanisms/1/on/fold", CodeUnknownHost},
		{"host without a dot", with(goodVFold, swap(goodStrap, `"gutter"`, `"sail"`)), "/mechanisms/1/on/fold", CodeUnknownHost},
		{"fold of a figure", with(goodFigure, swap(goodStrap, `"gutter"`, `"lamp.ridge"`)), "/mechanisms/1/on/fold", CodeUnknownHost},
		{"unknown panel", with(swap(goodFigure, `"page.left"`, `"page.top"`)), "/mechanisms/0/on/panel", CodeUnknownHost},

		{"on itself", with(swap(goodVFold, `"gutter"`, `"sail.ridge"`)), "/mechanisms/0/on", CodeHostCycle},

		{"path of nothing", with(swap(goodFigure, `M0 0H9V9Z`, ``)), "/mechanisms/0/outline", CodeOutOfRange},
		{"path that is none", with(swap(goodFigure, `M0 0H9V9Z`, `harbour`)), "/mechanisms/0/outline", CodeBadPath},
		{"path that crosses itself", with(swap(goodFigure, `M0 0H9V9Z`, `M0 0L30 0L30 30L0 -15Z`)), "/mechanisms/0/outline", CodeBadPath},
		{"path without an inside", with(swap(goodFigure, `M0 0H9V9Z`, `M0 0H9`)), "/mechanisms/0/outline", CodeBadPath},
	}
}

func problems(t *testing.T, document string) []Problem {
	t.Helper()
	d, err := Decode([]byte(document))
	invalid := (*Invalid)(nil)
	if !errors.As(err, &invalid) || d != nil {
		t.Fatalf("accepted, or failed with %v", err)
	}
	return invalid.Problems
}

func TestFaultsAreNamed(t *testing.T) {
	tested := map[Code]bool{}
	for _, row := range faulty() {
		t.Run(row.name, func(t *testing.T) {
			got := problems(t, row.document)
			if len(got) != 1 || got[0].Pointer != row.pointer || got[0].Code != row.code {
				t.Errorf("got %v, want one %s at %q", got, row.code, row.pointer)
			}
			if got[0].Detail == "" {
				t.Error("no detail")
			}
		})
		tested[row.code] = true
	}
	for _, code := range Codes() {
		if !tested[code] {
			t.Errorf("no document is at fault by %s", code)
		}
	}
}

// A cycle is reported at each of its mechanisms, and not at what stands on it.
func TestCyclesAreNamed(t *testing.T) {
	strap := func(id, fold string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"strap","on":{"fold":%q},"from":1,"to":2,"left_offset":3,"right_offset":4}`, id, fold)
	}
	got := problems(t, with(strap("a", "b.ridge"), strap("b", "c.ridge"), strap("c", "a.ridge"), strap("d", "c.ridge"), strap("e", "gutter")))
	pointers := make([]string, 0, len(got))
	for _, p := range got {
		if p.Code != CodeHostCycle {
			t.Errorf("%v", p)
		}
		pointers = append(pointers, p.Pointer)
	}
	if want := []string{"/mechanisms/0/on", "/mechanisms/1/on", "/mechanisms/2/on"}; !slices.Equal(pointers, want) {
		t.Errorf("got %v, want %v", pointers, want)
	}
}

// One pass names every fault.
func TestAllFaultsAreNamed(t *testing.T) {
	got := problems(t, `{"units":"fathom","colour":"red","spread":{"page_width":1},"mechanisms":[
		{"id":"Sail","kind":"strap","on":{"fold":"mast.ridge"},"from":5,"to":4,"left_offset":-3}]}`)
	want := map[string]Code{
		"/units": CodeNotAllowed, "/colour": CodeUnknown,
		"/spread/page_width": CodeOutOfRange, "/spread/page_height": CodeMissing,
		"/mechanisms/0/id": CodeBadID, "/mechanisms/0/to": CodeOutOfRange, "/mechanisms/0/on/fold": CodeUnknownHost,
		"/mechanisms/0/left_offset": CodeOutOfRange, "/mechanisms/0/right_offset": CodeMissing,
	}
	for _, p := range got {
		if want[p.Pointer] != p.Code {
			t.Errorf("unexpected %s at %s", p.Code, p.Pointer)
		}
		delete(want, p.Pointer)
	}
	for pointer, code := range want {
		t.Errorf("no %s at %s", code, pointer)
	}
}

// However many faults there are, the answer stays readable.
func TestFaultsAreLimited(t *testing.T) {
	var fields strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&fields, `,"wave%d":1`, i)
	}
	if got := len(problems(t, spreadWith(fields.String()))); got != maxProblems {
		t.Errorf("%d problems, want %d", got, maxProblems)
	}
}

// Ranges are quoted in the units of the document.
func TestRangesAreQuotedInUnits(t *testing.T) {
	got := problems(t, `{"units":"in","spread":{"page_width":0.5,"page_height":7,"margin":0.1}}`)
	if detail := got[0].Detail; !strings.Contains(detail, "0.7874 in") {
		t.Errorf("detail is %q; 20 mm are 0.7874 in", detail)
	}
}

// What a client sent is quoted back short and whole.
func TestQuotesAreClipped(t *testing.T) {
	got := problems(t, swap(spreadWith(``), `{`, `{"units":"`+strings.Repeat("å", 150)+`",`))
	if detail := got[0].Detail; len(detail) > 200 || strings.ContainsRune(detail, '\uFFFD') {
		t.Errorf("detail is %q", detail)
	}
}
