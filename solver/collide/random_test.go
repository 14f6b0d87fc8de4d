package collide

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
)

type entry map[string]any

// decimal draws a number with two decimals.
func decimal(t *rapid.T, label string, lo, hi float64) float64 {
	return float64(rapid.IntRange(int(math.Ceil(lo*100)), int(math.Floor(hi*100))).Draw(t, label)) / 100
}

func assemble(t rapid.TB, mechanisms []entry) *kinematics.Assembly {
	data, err := json.Marshal(entry{"spread": entry{"page_width": 130, "page_height": 180}, "mechanisms": mechanisms})
	if err != nil {
		t.Fatal(err)
	}
	d, err := design.Decode(data)
	if err != nil {
		t.Fatalf("%v in %s", err, data)
	}
	return kinematics.Compile(d)
}

// drawn draws one of the kinds that stand on a fold, so that it shuts flat and opens
// fully where the fold does.
func drawn(t *rapid.T, kind string) entry {
	from := decimal(t, "from", 5, 100)
	a := decimal(t, "a", 20, 60)
	uneven := decimal(t, "uneven", -5, 5)
	switch kind {
	case "v_fold":
		b := decimal(t, "b", a+8, 160-a)
		return entry{"kind": kind, "at": from, "ridge_length": decimal(t, "ridge", 15, 60),
			"left":  entry{"base_angle": a, "panel_angle": b, "base_length": decimal(t, "left", 15, 60)},
			"right": entry{"base_angle": a + uneven, "panel_angle": b - uneven, "base_length": decimal(t, "right", 15, 60)}}
	case "cut_v":
		return entry{"kind": kind, "at": from, "ridge_length": decimal(t, "ridge", 15, 60),
			"left": entry{"base_angle": a, "base_length": decimal(t, "left", 15, 60)}}
	case "parallel_fold":
		p := decimal(t, "p", a/2+8, 60)
		return entry{"kind": kind, "from": from, "to": from + decimal(t, "long", 8, 60),
			"left":  entry{"base_offset": a / 2, "panel_width": p},
			"right": entry{"base_offset": a/2 + uneven, "panel_width": p - uneven}}
	default: // a strap or a step
		return entry{"kind": kind, "from": from, "to": from + decimal(t, "long", 8, 60),
			"left_offset": a / 2, "right_offset": decimal(t, "offset", 10, 30)}
	}
}

var onFolds = []string{"v_fold", "cut_v", "parallel_fold", "strap", "cut_step"}

// Mechanisms that stand alone, and small ones in the outer angle of a base fold of
// theirs, pass through nothing: what the creases and apexes of such pieces have in
// common is no contact, and every pair is proved.
func TestNoFalseAlarms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		host := drawn(t, rapid.SampledFrom(onFolds).Draw(t, "kind"))
		host["id"], host["on"] = "quay", entry{"fold": "gutter"}
		r := Compile(assemble(t, []entry{host}), nil).Sweep(Options{})
		if len(r.Contacts) > 0 || len(r.Undecided) > 0 || r.Proved != r.Pairs {
			t.Fatalf("%v: %+v", host, r)
		}
		if r.Estimated != nil {
			t.Fatalf("%v rests on an estimate", host)
		}
	})
}

// crowd draws mechanisms and figures that stand in each other's way more often than
// not.
func crowd(t *rapid.T) *kinematics.Assembly {
	folds, panels := []string{"gutter"}, []string{"page.left", "page.right"}
	var mechanisms []entry
	for i := range rapid.IntRange(2, 5).Draw(t, "count") {
		id := fmt.Sprintf("boat%d", i)
		kind := rapid.SampledFrom([]string{"v_fold", "parallel_fold", "strap", "figure", "figure", "flap"}).Draw(t, "kind")
		var e entry
		switch kind {
		case "figure", "flap":
			e = entry{"kind": kind, "place": entry{"u": decimal(t, "u", -10, 60), "v": decimal(t, "v", -10, 40), "rotate": decimal(t, "rotate", -180, 180)},
				"on": entry{"panel": rapid.SampledFrom(panels).Draw(t, "panel")}}
			if kind == "flap" {
				e["hinge_length"], e["depth"] = decimal(t, "hinge", 5, 30), decimal(t, "depth", 5, 30)
			} else {
				e["outline"] = rapid.SampledFrom([]string{
					"M0 0 H14 V20 H0 Z", "M0 0 H20 V30 L10 8 L0 30 Z", "M0 0 C0 30 30 30 30 0 Z",
					"M-15 -15 H15 V15 H-15 Z M-8 -8 V8 H8 V-8 Z", "M-60 0 H60 V8 H-60 Z",
				}).Draw(t, "outline")
			}
			panels = append(panels, id+"."+kind)
		default:
			e = drawn(t, kind)
			e["on"] = entry{"fold": rapid.SampledFrom(folds).Draw(t, "fold")}
			panels = append(panels, id+".left", id+".right")
			folds = append(folds, id+".left_base", id+".right_base", id+".ridge")
		}
		e["id"] = id
		mechanisms = append(mechanisms, e)
	}
	return assemble(t, mechanisms)
}

// sampleStep is the spacing of the openings the sweep is held against, degrees.
const sampleStep = 0.02

// What is found at openings a fiftieth of a degree apart is what the sweep finds: no
// sample crosses where it proved that none does, none before what it gives as the
// first, and a contact that lasts longer than a step is among the samples.
func TestSweepAgainstSamples(t *testing.T) {
	contacts, clear := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		a := crowd(t)
		b, p := Compile(a, nil), a.NewPose()
		r := b.Sweep(Options{})
		first := map[[2]Piece]float64{}
		for at := b.smallest(); at <= math.Pi; at += sampleStep * math.Pi / 180 {
			a.PoseInto(p, kinematics.Drive{Opening: geom.Angle(at)})
			b.At(p, func(x, y Piece, _ Crossing) {
				if _, ok := first[[2]Piece{x, y}]; !ok {
					first[[2]Piece{x, y}] = at
				}
			})
		}
		undecided := map[[2]Piece]bool{}
		for _, u := range r.Undecided {
			undecided[u.Pieces] = undecided[u.Pieces] || u.Driver == None
		}
		told := map[[2]Piece]bool{}
		for _, c := range r.Contacts {
			if c.Driver != None {
				continue
			}
			contacts++
			told[c.Pieces] = true
			at, ok := first[c.Pieces]
			if ok && at < c.From-1e-9 {
				t.Fatalf("%s and %s meet at %.9g, found only from %.9g", name(a, c.Pieces[0]), name(a, c.Pieces[1]), at, c.From)
			}
			if c.To-c.From > sampleStep*math.Pi/180 && (!ok || at > c.From+sampleStep*math.Pi/180) {
				t.Fatalf("%s and %s meet from %.9g to %.9g, samples only at %.9g", name(a, c.Pieces[0]), name(a, c.Pieces[1]), c.From, c.To, at)
			}
		}
		for pieces, at := range first {
			if !told[pieces] {
				t.Fatalf("%s and %s meet at %.9g (undecided: %t)", name(a, pieces[0]), name(a, pieces[1]), at, undecided[pieces])
			}
		}
		if len(first) == 0 {
			clear++
		}
	})
	if contacts < 10 || clear < 10 {
		t.Errorf("%d contacts, %d designs without: the test shows little", contacts, clear)
	}
}

func TestAtDoesNotAllocate(t *testing.T) {
	a := compileExample(t, "harbour")
	b, p := Compile(a, nil), a.NewPose()
	found := 0
	visit := func(Piece, Piece, Crossing) { found++ }
	degrees := 0.0
	if n := testing.AllocsPerRun(100, func() {
		degrees = math.Mod(degrees+1.7, 180)
		a.PoseInto(p, kinematics.Drive{Opening: geom.Degrees(degrees)})
		b.At(p, visit)
	}); n != 0 || found != 0 {
		t.Errorf("%g allocations, %d crossings", n, found)
	}
}

// Allocations of a sweep are for what it keeps, not for what it looks at: a sweep
// looks at the harbour in hundreds of intervals, at tens of pairs in each.
func TestSweepHardlyAllocates(t *testing.T) {
	b := Compile(compileExample(t, "harbour"), nil)
	if n := testing.AllocsPerRun(5, func() { b.Sweep(Options{}) }); n > 200 {
		t.Errorf("%g allocations", n)
	}
}

func TestSweepStops(t *testing.T) {
	asked := 0
	r := Compile(compileExample(t, "harbour"), nil).Sweep(Options{Stop: func() bool { asked++; return asked > 3 }})
	if !r.Stopped || asked != 4 || r.Proved != 0 {
		t.Errorf("stopped: %t, asked %d times, %d proved", r.Stopped, asked, r.Proved)
	}
}
