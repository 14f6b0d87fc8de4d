package check

import (
	"math"
	"testing"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/faults"
)

// fault is what the design in testdata/faults of that code must be found to have.
type fault struct {
	severity finding.Severity
	amount   float64 // NaN where a test of its own has the number
	unit     string
	source   string
	// uncured says why no change of a number or word cures it.
	uncured string
}

// drawnAnew is why an outline is not cured: it is a drawing, not a number.
const drawnAnew = "the outline must be drawn anew"

var ownTest = math.NaN()

// Amounts are worked out by hand from the numbers of the design.
var faultTable = map[finding.Code]fault{
	finding.CannotShut:          {finding.Error, 15, "mm", "|30+50-35-30|", ""},
	finding.NotFlatWhenShut:     {finding.Error, 10, "mm", "|30+50-45-45|", ""},
	finding.CannotOpenFully:     {finding.Error, 180 - 2*math.Asin(0.75)*180/math.Pi, "deg", "tight when 2·40·sin φ/2 = 2·30", ""},
	finding.OutsidePageWhenShut: {finding.Error, 10, "mm", "60+80-130", ""},
	finding.InsideMargin:        {finding.Warning, 3, "mm", "58+70-(130-5)", ""},
	finding.EndsMeet:            {finding.Error, 10, "mm", "25+25-40", ""},
	finding.TravelNotReached:    {finding.Error, 10, "mm", "40-2·15", ""},
	finding.StripCollides:       {finding.Error, ownTest, "mm", "TestSteepStrip", ""},
	finding.AnchorOffPage:       {finding.Error, 2, "mm", "64/2+100-130", ""},
	finding.NearSingular:        {finding.Warning, 180 - 2*math.Asin(40.0/41)*180/math.Pi, "deg", "half the ridge's angle is asin 40/41", ""},
	finding.ThroughHost:         {finding.Error, ownTest, "deg", "TestPanelThroughItsHost", ""},
	finding.CutOffHost:          {finding.Error, 8, "mm", "from -8 to the foot", ""},

	finding.PanelsCollide:      {finding.Error, 6, "mm", "6 below v = 0", ""},
	finding.ClearanceUndecided: {finding.Warning, 0, "mm", "tents in one place lie in each other's planes", ""},

	finding.LayersTrapped:    {finding.Error, 0, "mm", "a flap across the gutter is caught in it", ""},
	finding.GluedTwice:       {finding.Error, 150, "mm²", "15 of tabs 10 deep", ""},
	finding.StackTooThick:    {finding.Error, 4*0.3*1.15 + 2*0.08 - 1.3, "mm", "two pages, two tabs, two films", ""},
	finding.ThicknessMatters: {finding.Note, 2*1.5*1.15 + 2*0.08, "mm", "two tabs and two films", ""},

	finding.NoRoomForTab:  {finding.Error, 0, "", "a millimetre is kept to the gutter and 1.4-1 is less than the 0.5 that can be folded", ""},
	finding.NoRoomForLock: {finding.Warning, 0.5, "mm", "four shoulders of 1, and a tab 23.5-20 long", ""},
	finding.TabTooSmall:   {finding.Warning, 2, "mm", "5-(4-1): a millimetre is kept to the gutter", ""},
	finding.TabOffHost:    {finding.Warning, 3, "mm", "125+8-130", ""},
	finding.TabNotJoined:  {finding.Error, 0, "", "the tab from 5 to 15, the outline from 20 on", ""},
	finding.TabInsideFigure: {finding.Error, 2, "mm", "a web of max(2, 5·0.3) round the tab",
		"the tab would have to be as short as the outline is low"},
	finding.FigureOffPanel: {finding.Error, 0, "", "from 44 on, on a panel of 40", ""},
	finding.FigureInPieces: {finding.Error, 0, "", "two hulls", drawnAnew},
	finding.NecksMeet:      {finding.Error, 20.7, "mm", "the width of a neck, 20, and the clearance of a slit, 0.7", ""},
	finding.SlotOffPanel:   {finding.Error, 0, "", "178+10/2+0.7/2 > 180", ""},
	finding.SlotNearEdge:   {finding.Warning, 1.35, "mm", "2-(6-10/2-0.7/2)", ""},
	finding.WebTooThin:     {finding.Warning, 0.7, "mm", "2-(72-60-10-0.7)", ""},
	finding.TightBend:      {finding.Warning, 0.1, "mm", "0.3-0.2", drawnAnew},
	finding.CutInGlue:      {finding.Warning, 10.7, "mm", "the length of the slot, 10+0.7", ""},
	finding.OverCrease:     {finding.Error, 10, "mm", "40-30", ""},
	finding.WindowOffDisc:  {finding.Warning, math.Hypot(45, 12) - 40, "mm", "the corner of the window", ""},
	finding.NoRoomForThumb: {finding.Error, 4, "mm", "cap 4/2+3, web 2 and thumb 7, less the radius 10", ""},
	finding.NoRoomForRunner: {finding.Error, 0, "", "the slide from 30 aside on, the strip to 6",
		""},
	finding.GuideOffPanel: {finding.Error, 4.35, "mm", "(12+0.7)/2+8-10", ""},
	finding.StripTooShort: {finding.Error, 14, "mm", "stroke 30, one block of 4 before the guide of 5 and one behind it, 1 to the grip: 44-30", ""},
	finding.LocksInStroke: {finding.Error, 20 - (10 + 24 - math.Sqrt(24*24-10*10)), "mm", "crank and link in line, from a right angle", ""},
	finding.FoldsBothWays: {finding.Note, ownTest, "deg", "TestFoldThatPassesFlatIsReported of the pattern",
		"it is scored from both sides"},
	finding.GrainAgainstScore: {finding.Warning, 90, "deg", "across the gutter", ""},
	finding.PartTooSmall:      {finding.Note, 2, "mm", "10-8", drawnAnew},
	finding.GlueOutOfReach:    {finding.Warning, 0, "", "the faces of the tent open to 2·asin(8/46) = 20 degrees, 7 mm apart 20 mm from the ridge", ""},
}

// TestEveryCode breaks every rule of the catalogue, each with a design of its own,
// and holds the finding against what was worked out by hand and its remedy to its
// word.
func TestEveryCode(t *testing.T) {
	for _, info := range finding.Catalogue() {
		if info.Code == finding.StackUndecided {
			continue // only very large designs are left undecided: TestCrowdedSpread of the stack
		}
		t.Run(string(info.Code), func(t *testing.T) {
			want, ok := faultTable[info.Code]
			data, drawn := faults.Read(string(info.Code))
			if !ok || !drawn {
				t.Fatal("this code needs a row in faultTable and a design in testdata/faults that breaks it")
			}
			d, err := design.Decode(data)
			if err != nil {
				t.Fatal(err)
			}
			f := found(t, d, info.Code)
			if f.Severity != want.severity || f.Amount.Unit != want.unit || math.Abs(f.Amount.Value-want.amount) > 2e-3 {
				t.Errorf("%s by %v, want %s by %g %s (%s)", f.Severity, f.Amount, want.severity, want.amount, want.unit, want.source)
			}
			if len(f.Where.Panels) == 0 && f.Mechanism != kinematics.Spread || f.Where.Flat.Part == "" && f.Code.OfParts() {
				t.Errorf("it is nowhere: %+v", f.Where)
			}
			switch {
			case want.uncured == "":
				requireCure(t, d, f)
			case f.Remedy != nil:
				t.Errorf("%q cures it, though %s", f.Remedy.Text, want.uncured)
			}
		})
	}
}

func found(t *testing.T, d *design.Design, code finding.Code) finding.Finding {
	t.Helper()
	var others []finding.Code
	for _, f := range check(d) {
		if f.Code == code {
			return f
		}
		others = append(others, f.Code)
	}
	t.Fatalf("not found, but %v", others)
	return finding.Finding{}
}

// TestFlatPlaces holds places on the flat pattern against the world: the point of
// the part, put back on its panel and posed, is the point of the world.
func TestFlatPlaces(t *testing.T) {
	for _, code := range faults.Codes() {
		data, _ := faults.Read(code)
		d, err := design.Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(code, func(t *testing.T) { requireFlatPlaces(t, d) })
	}
	t.Run("moved by hand", func(t *testing.T) {
		requireFlatPlaces(t, decode(t, pageOf130, tentAt("quay", 20)+`,
			{"id":"hatch","kind":"flap","on":{"panel":"page.right"},"hinge_length":20,"depth":40,"opens_to":170,"place":{"u":70,"v":25,"rotate":90}}`))
	})
	t.Run("several panels", func(t *testing.T) {
		requireFlatPlaces(t, decode(t, pageOf130, `{"id":"a","kind":"v_fold","on":{"fold":"gutter"},"at":100,"left":{"base_angle":55,"panel_angle":90,"base_length":70},"ridge_length":80},
			{"id":"g","kind":"v_fold","on":{"fold":"a.left_base","side":"outer"},"at":30,"left":{"base_angle":50,"panel_angle":75,"base_length":60},"ridge_length":60},
			{"id":"t","kind":"parallel_fold","on":{"fold":"gutter"},"from":30,"to":80,"left":{"base_offset":40,"panel_width":55}}`))
	})
}

func requireFlatPlaces(t *testing.T, d *design.Design) {
	a := kinematics.Compile(d)
	x := examine(a, nil, everything)
	x.placeFlat()
	pose := a.NewPose()
	for _, f := range x.findings {
		if f.Where.Flat.Part == "" || !f.Where.HasPoint {
			continue
		}
		a.PoseInto(pose, x.driveOf(&f))
		part, nearest := x.pattern.Part(f.Where.Flat.Part), math.Inf(1)
		for _, placed := range part.Panels {
			at := pose.Panels[placed.Panel].At(placed.Place.Inverse().Apply(f.Where.Flat.Point))
			nearest = min(nearest, at.Sub(f.Where.Point).Norm())
		}
		if nearest > 1e-6*d.Size() {
			t.Errorf("%s is %g mm from its place on the flat pattern", f.Code, nearest)
		}
		if f.Code == finding.PanelsCollide {
			requireOnPanel(t, a, pose, &f)
		}
	}
}

// requireOnPanel holds the point of a contact against the outline of the panel it
// is said to be on.
func requireOnPanel(t *testing.T, a *kinematics.Assembly, pose *kinematics.Pose, f *finding.Finding) {
	panel := a.PanelIndex(f.Where.Panels[0])
	at := pose.Panels[panel].Local(f.Where.Point)
	flat, outline := geom.Vec2{X: at.X, Y: at.Y}, a.Panels[panel].Outline
	if !geom.PolygonContains(outline, flat) && geom.PolygonDistance(outline, flat) > 1e-3 {
		t.Errorf("%s at %v is not on %s", f.Code, flat, f.Where.Panels[0])
	}
}
