package design

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"foldwright/solver/geom"
)

// goodLinkage is a roof of two panels over the gutter and a flag on it, tied by
// a point.
const goodLinkage = `{"id":"shed","kind":"linkage","on":{"fold":"gutter"},
	"panels":[{"id":"left","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"right","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"flag","outline":[[0,0],[10,0],[5,8]]}],
	"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}],
	"glue":[{"panel":"left","edge":0,"to":"left","at":[[40,20],[10,20]]},{"id":"foot","panel":"right","edge":0,"to":"page.right","at":[[10,20],[40,20]]},
		{"panel":"flag","point":[[5,8]],"to":"shed.right","at":[[15,30]]}],
	"start":{"opening":90,"angles":[{"fold":"ridge","angle":60},{"fold":"left_base","angle":50}]}}`

func TestDecodeLinkage(t *testing.T) {
	d := decode(t, with(goodLinkage))
	got := d.Mechanisms[0].Spec.(*Linkage)
	want := &Linkage{
		Panels: []LinkagePanel{
			{"left", []geom.Vec2{{}, {X: 30}, {X: 30, Y: 40}, {Y: 40}}},
			{"right", []geom.Vec2{{}, {X: 30}, {X: 30, Y: 40}, {Y: 40}}},
			{"flag", []geom.Vec2{{}, {X: 10}, {X: 5, Y: 8}}},
		},
		Hinges: []LinkageHinge{{ID: "ridge", Between: [2]LinkageEdge{{0, 2}, {1, 2}}}},
		Glue: []LinkageGlue{
			{ID: "left_base", Panel: 0, Edge: 0, To: "left", Own: -1, At: []geom.Vec2{{X: 40, Y: 20}, {X: 10, Y: 20}}},
			{ID: "foot", Panel: 1, Edge: 0, To: "page.right", Own: -1, At: []geom.Vec2{{X: 10, Y: 20}, {X: 40, Y: 20}}},
			{Panel: 2, Edge: -1, Point: geom.Vec2{X: 5, Y: 8}, To: "shed.right", Own: 1, At: []geom.Vec2{{X: 15, Y: 30}}},
		},
		Start: &LinkageStart{geom.Degrees(90), []LinkageAngle{{"ridge", geom.Degrees(60)}, {"left_base", geom.Degrees(50)}}},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
	panels, folds := d.Mechanisms[0].Makes()
	if !slices.Equal(panels, []string{"left", "right", "flag"}) || !slices.Equal(folds, []string{"ridge", "left_base", "foot"}) {
		t.Errorf("makes %v and %v", panels, folds)
	}
	for fold, want := range map[string]Side{"ridge": Inner, "left_base": Outer, "foot": Outer} {
		if got := d.Mechanisms[0].WorkingSide(fold); got != want {
			t.Errorf("%s is worked from the %s side, want %s", fold, got, want)
		}
	}
	if got.SameWay(&got.Hinges[0]) {
		t.Error("edges of panels drawn the same way round must run opposite ways")
	}
	copied := got.Clone().(*Linkage)
	copied.Panels[0].Outline[0].X, copied.Glue[0].At[0].X, copied.Start.Angles[0].Angle = 7, 7, 7
	if !reflect.DeepEqual(got, want) {
		t.Error("a copy is not separate")
	}
}

func TestLinkageInInches(t *testing.T) {
	text := `{"units":"in","spread":{"page_width":5,"page_height":7},"mechanisms":[` +
		strings.NewReplacer("30", "1.5", "40", "2", "10", "0.5", "20", "1", "15", "0.75", "5,8", "0.25,0.5", "90", "90", "60", "60", "50", "50").Replace(goodLinkage) + `]}`
	l := decode(t, text).Mechanisms[0].Spec.(*Linkage)
	if got := l.Panels[0].Outline[2]; got.Sub(geom.Vec2{X: 38.1, Y: 50.8}).Norm() > 1e-12 {
		t.Errorf("corner at %v", got)
	}
}

// The mechanisms that glue names come first, and other mechanisms may stand on
// its folds.
func TestLinkageHosts(t *testing.T) {
	d := decode(t, with(
		swap(swap(goodLinkage, `"shed.right"`, `"gangway.left"`), `[[15,30]]`, `[[1,2]]`),
		swap(swap(goodStrap, `"gangway"`, `"ladder"`), `"gutter"`, `"shed.foot"`),
		goodStrap,
	))
	if !slices.Equal(d.Order(), []int{2, 0, 1}) || !slices.Equal(d.HostsOf(0), []int{2}) {
		t.Errorf("order %v, hosts %v", d.Order(), d.HostsOf(0))
	}
	if got := d.Mechanisms[1].On.Side; got != Outer {
		t.Errorf("a glued edge is stood on from the %s side", got)
	}
}

func TestLinkageFaultsAreNamed(t *testing.T) {
	at := func(rest string) string { return "/mechanisms/0/" + rest }
	panels := make([]string, maxLinkagePanels+1)
	for i := range panels {
		panels[i] = fmt.Sprintf(`{"id":"p%d","outline":[[0,0],[1,0],[0,1]]}`, i)
	}
	const front = `"panels":[{"id":"left","outline":[[0,0],[30,0],[30,40],[0,40]]},`
	for _, row := range []wrong{
		{"no panels", swap(goodLinkage, front+`{"id":"right","outline":[[0,0],[30,0],[30,40],[0,40]]},{"id":"flag","outline":[[0,0],[10,0],[5,8]]}]`, `"panels":[]`), at("panels"), CodeMissing},
		{"too many panels", swap(goodLinkage, front, `"panels":[`+strings.Join(panels, ",")+`,`), at("panels"), CodeTooMany},
		{"no glue", `{"id":"a","kind":"linkage","on":{"fold":"gutter"},"panels":[{"id":"p","outline":[[0,0],[9,0],[0,9]]}],"glue":[]}`, at("glue"), CodeMissing},
		{"panel without an outline", swap(goodLinkage, `,"outline":[[0,0],[10,0],[5,8]]`, ``), at("panels/2/outline"), CodeMissing},
		{"two corners", swap(goodLinkage, `[[0,0],[10,0],[5,8]]`, `[[0,0],[10,0]]`), at("panels/2/outline"), CodeOutOfRange},
		{"too many corners", swap(goodLinkage, `[[0,0],[10,0],[5,8]]`, `[`+strings.Repeat(`[0,0],`, maxPanelPoints)+`[1,1]]`), at("panels/2/outline"), CodeTooMany},
		{"corner of three numbers", swap(goodLinkage, `[5,8]]}]`, `[5,8,9]]}]`), at("panels/2/outline/2"), CodeWrongType},
		{"corner of text", swap(goodLinkage, `[5,8]]}]`, `[5,"8"]]}]`), at("panels/2/outline/2/1"), CodeWrongType},
		{"corner off every sheet", swap(goodLinkage, `[5,8]]}]`, `[5,2001]]}]`), at("panels/2/outline/2/1"), CodeOutOfRange},
		{"short edge", swap(goodLinkage, `[5,8]]}]`, `[10,0.01]]}]`), at("panels/2/outline"), CodeBadPath},
		{"outline that crosses itself", swap(goodLinkage, `[[0,0],[10,0],[5,8]]`, `[[0,0],[10,0],[0,8],[10,8]]`), at("panels/2/outline"), CodeBadPath},
		{"outline without an inside", swap(goodLinkage, `[[0,0],[10,0],[5,8]]`, `[[0,0],[10,0],[5,0]]`), at("panels/2/outline"), CodeBadPath},
		{"same panel twice", swap(goodLinkage, `"id":"flag"`, `"id":"left"`), at("panels/2/id"), CodeDuplicateID},
		{"hinge named in capitals", swap(goodLinkage, `"id":"ridge"`, `"id":"Ridge"`), at("hinges/0/id"), CodeBadID},

		{"hinge of one edge", swap(goodLinkage, `,{"panel":"right","edge":2}]`, `]`), at("hinges/0/between"), CodeMissing},
		{"hinge to an unknown panel", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"mast","edge":2}`), at("hinges/0/between/1/panel"), CodeUnknownHost},
		{"hinge on no edge", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":4}`), at("hinges/0/between/1/edge"), CodeOutOfRange},
		{"hinge on half an edge", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":1.5}`), at("hinges/0/between/1/edge"), CodeWrongType},
		{"hinge of unequal edges", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":1}`), at("hinges/0/between"), CodeNotAllowed},
		{"hinge to itself", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"left","edge":0}`), at("hinges/0/between"), CodeNotAllowed},
		{"folds of one name", swap(goodLinkage, `"id":"foot"`, `"id":"ridge"`), at("glue/1/id"), CodeDuplicateID},

		{"glue of an unknown panel", swap(goodLinkage, `"panel":"flag","point"`, `"panel":"mast","point"`), at("glue/2/panel"), CodeUnknownHost},
		{"glue of an edge and a point", swap(goodLinkage, `"point":[[5,8]]`, `"edge":0,"point":[[5,8]]`), at("glue/2/edge"), CodeMissing},
		{"glue of nothing", swap(goodLinkage, `"point":[[5,8]],`, ``), at("glue/2/edge"), CodeMissing},
		{"edge glued on a shorter line", swap(goodLinkage, `[[10,20],[40,20]]`, `[[10,20],[39.9,20]]`), at("glue/1/at"), CodeNotAllowed},
		{"edge glued at one point", swap(goodLinkage, `[[10,20],[40,20]]`, `[[10,20]]`), at("glue/1/at"), CodeOutOfRange},
		{"point glued on a line", swap(goodLinkage, `[[15,30]]`, `[[15,30],[16,30]]`), at("glue/2/at"), CodeOutOfRange},
		{"point with a name", swap(goodLinkage, `{"panel":"flag","point"`, `{"id":"knot","panel":"flag","point"`), at("glue/2/id"), CodeNotAllowed},
		{"glue to an unknown panel", swap(goodLinkage, `"page.right"`, `"page.top"`), at("glue/1/to"), CodeUnknownHost},
		{"glue to a face there is not", swap(goodLinkage, `"page.right"`, `"top"`), at("glue/1/to"), CodeUnknownHost},
		{"glue to an unknown panel of its own", swap(goodLinkage, `"shed.right"`, `"shed.mast"`), at("glue/2/to"), CodeUnknownHost},
		{"glue to itself", swap(goodLinkage, `"shed.right"`, `"shed.flag"`), at("glue/2/to"), CodeNotAllowed},
		{"panel that nothing holds", swap(goodLinkage, `,
		{"panel":"flag","point":[[5,8]],"to":"shed.right","at":[[15,30]]}`, ``), at("panels/2"), CodeNotAllowed},
		{"start on an unknown fold", swap(goodLinkage, `"fold":"ridge"`, `"fold":"gutter"`), at("start/angles/0/fold"), CodeUnknownHost},
		{"start beyond a turn", swap(goodLinkage, `"angle":60`, `"angle":361`), at("start/angles/0/angle"), CodeOutOfRange},
		{"hinges that are no list", swap(goodLinkage, `"hinges":[{"id":"ridge","between":[{"panel":"left","edge":2},{"panel":"right","edge":2}]}]`, `"hinges":"ridge"`), at("hinges"), CodeWrongType},
		{"hinge on an edge by name", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":"top"}`), at("hinges/0/between/1/edge"), CodeWrongType},
		{"hinge on an edge below none", swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":-1}`), at("hinges/0/between/1/edge"), CodeOutOfRange},
		{"on a panel", swap(goodLinkage, `"on":{"fold":"gutter"}`, `"on":{"panel":"page.left"}`), at("on/panel"), CodeNotAllowed},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := problems(t, with(row.document))
			if len(got) != 1 || got[0].Pointer != row.pointer || got[0].Code != row.code {
				t.Errorf("got %v, want one %s at %q", got, row.code, row.pointer)
			}
		})
	}
}

// What must be a whole number is told to be, whatever stands there.
func TestWholeNumbersAreAskedFor(t *testing.T) {
	for _, edge := range []string{`"top"`, `null`, `1.5`} {
		got := problems(t, with(swap(goodLinkage, `{"panel":"right","edge":2}`, `{"panel":"right","edge":`+edge+`}`)))
		if len(got) != 1 || got[0].Code != CodeWrongType || !strings.Contains(got[0].Detail, "must be a whole number") {
			t.Errorf("%s: %v", edge, got)
		}
	}
}

// Edges within what paper takes up of each other are joined all the same.
func TestLinkageEdgesNearlyEqual(t *testing.T) {
	decode(t, with(swap(goodLinkage, `[[10,20],[40,20]]`, `[[10,20],[39.96,20]]`)))
}

func TestLinkageCycle(t *testing.T) {
	got := problems(t, with(
		swap(swap(goodLinkage, `"shed.right"`, `"gangway.left"`), `[[15,30]]`, `[[1,2]]`),
		swap(goodStrap, `"gutter"`, `"shed.ridge"`),
	))
	for i, p := range got {
		if p.Code != CodeHostCycle || p.Pointer != fmt.Sprintf("/mechanisms/%d/on", i) {
			t.Errorf("%v", p)
		}
	}
}

func TestLinkagesAreLimited(t *testing.T) {
	list := []string{}
	for i := range maxDesignPanels/3 + 1 {
		list = append(list, strings.ReplaceAll(goodLinkage, "shed", fmt.Sprintf("shed%d", i)))
	}
	got := problems(t, with(list...))
	if want := fmt.Sprintf("/mechanisms/%d/panels", maxDesignPanels/3); len(got) != 1 || got[0].Code != CodeTooMany || got[0].Pointer != want {
		t.Errorf("%v", got)
	}
}
