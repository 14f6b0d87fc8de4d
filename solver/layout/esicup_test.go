package layout

import (
	"encoding/xml"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"foldwright/solver/geom"
)

var nestingTime = flag.Duration("nesting", 200*time.Millisecond, "processor time per set for BenchmarkNesting")
var nestingSets = flag.String("sets", "", "sets for BenchmarkNesting, comma separated; all when empty")
var nestingSVG = flag.String("nesting-svg", "", "folder for drawings of BenchmarkNesting")
var nestingSeed = flag.Uint64("nesting-seed", 1, "seed for BenchmarkNesting")

// published is the table of the open sets: types, pieces, width and area as
// computed once by other means, and the best density. The densities are those
// of Elkeran, European Journal of Operational Research 231 (2013), from memory
// where 2013 stands; the two jigsaws are exact by construction.
var published = []struct {
	name          string
	types, pieces int
	width, area   float64
	best          float64 // per cent; 0 when none is known
	year          string
}{
	{"albano", 8, 24, 4900, 42656785, 89.58, "2013, from memory"},
	{"blaz", 7, 28, 15, 324, 84.84, "2013, from memory"},
	{"dagli", 10, 30, 60, 3034.5, 89.51, "2013, from memory"},
	{"dighe1", 16, 16, 100, 10000, 100, "exact"},
	{"dighe2", 10, 10, 100, 10000, 100, "exact"},
	{"poly1a", 15, 15, 40, 410, 0, ""},
	{"shapes0", 4, 43, 40, 1596, 68.79, "2013, from memory"},
	{"shapes1", 4, 43, 40, 1596, 76.73, "2013, from memory"},
	{"shirts", 8, 99, 40, 2160, 88.96, "2013, from memory"},
}

// dataFolder is where the sets lie. A folder that is named must be there; without
// one they are looked for beside the project, and the test is skipped when they
// are not there.
func dataFolder(t testing.TB) string {
	folder, named := os.LookupEnv("FOLDWRIGHT_NESTING_DATA")
	if !named {
		folder = filepath.Join("..", "..", "..", "shared", "data", "nesting")
	}
	if _, err := os.Stat(folder); err != nil {
		const missing = "the open nesting sets are not at %s; set FOLDWRIGHT_NESTING_DATA"
		if named {
			t.Fatalf(missing, folder)
		}
		t.Skipf(missing, folder)
	}
	return folder
}

type xmlNesting struct {
	Board struct {
		Polygon string `xml:"idPolygon,attr"`
	} `xml:"problem>boards>piece>component"`
	Pieces []struct {
		ID        string `xml:"id,attr"`
		Quantity  int    `xml:"quantity,attr"`
		Rotations []struct {
			Angle float64 `xml:"angle,attr"`
		} `xml:"orientation>enumeration"`
		Component struct {
			Polygon string `xml:"idPolygon,attr"`
		} `xml:"component"`
	} `xml:"problem>lot>piece"`
	Polygons []struct {
		ID    string `xml:"id,attr"`
		Lines []struct {
			X0 string `xml:"x0,attr"`
			Y0 string `xml:"y0,attr"`
		} `xml:"lines>segment"`
	} `xml:"polygons>polygon"`
}

// rings gives the polygons by name.
func (doc *xmlNesting) rings(t testing.TB) map[string][]geom.Vec2 {
	rings := map[string][]geom.Vec2{}
	for _, p := range doc.Polygons {
		var ring []geom.Vec2
		for _, l := range p.Lines {
			var v geom.Vec2
			if _, err := fmt.Sscan(strings.TrimSpace(l.X0), &v.X); err != nil {
				t.Fatal(err)
			}
			if _, err := fmt.Sscan(strings.TrimSpace(l.Y0), &v.Y); err != nil {
				t.Fatal(err)
			}
			ring = append(ring, v)
		}
		rings[p.ID] = ring
	}
	return rings
}

// readSet gives the items and the strip width of a set.
func readSet(t testing.TB, name string) ([]Item, float64) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dataFolder(t), name+".xml"))
	if err != nil {
		t.Fatal(err)
	}
	var doc xmlNesting
	if err := xml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	rings := doc.rings(t)
	var items []Item
	for _, p := range doc.Pieces {
		it := Item{ID: p.ID, Count: p.Quantity, Rings: [][]geom.Vec2{rings[p.Component.Polygon]}}
		for _, r := range p.Rotations {
			it.Rotations = append(it.Rotations, geom.Degrees(r.Angle))
		}
		items = append(items, it)
	}
	width := 0.0
	for _, v := range rings[doc.Board.Polygon] {
		width = max(width, v.Y)
	}
	return items, width
}

func TestSetsAgreeWithTable(t *testing.T) {
	for _, p := range published {
		items, width := readSet(t, p.name)
		pieces, area := 0, 0.0
		for i := range items {
			pieces += items[i].count()
			area += Area(items[i].Rings) * float64(items[i].count())
		}
		if len(items) != p.types || pieces != p.pieces || width != p.width || math.Abs(area-p.area) > 1e-6*p.area {
			t.Errorf("%s: %d types, %d pieces, width %g, area %g; want %d, %d, %g, %g",
				p.name, len(items), pieces, width, area, p.types, p.pieces, p.width, p.area)
		}
	}
}

// TestSets nests two sets briefly. The densities asked for are what any
// sensible bottom-left fill reaches, well below what the search reaches.
func TestSets(t *testing.T) {
	for _, c := range []struct {
		name       string
		iterations int
		least      float64
	}{{"shapes0", 150, 0.58}, {"shirts", 60, 0.80}} {
		items, width := readSet(t, c.name)
		last := 0
		r, err := Strip(items, width, Options{Seed: 1, Iterations: c.iterations, Progress: func(done, of int) {
			if done < last || of != c.iterations {
				t.Errorf("%s: progress from %d to %d of %d", c.name, last, done, of)
			}
			last = done
		}})
		if err != nil {
			t.Fatal(err)
		}
		assertStrip(t, items, width, 0, r)
		if clash, err := Check(items, r.Placements, []geom.Box2{{Max: geom.Vec2{X: r.Length, Y: width}}}, 0); err != nil || len(clash) > 0 {
			t.Errorf("%s: %v %v", c.name, clash, err)
		}
		if r.Utilisation < c.least || last != c.iterations {
			t.Errorf("%s: density %.4f, want at least %.2f; %d of %d passes told", c.name, r.Utilisation, c.least, last, c.iterations)
		}
		t.Logf("%s: %.2f %% after %d passes", c.name, 100*r.Utilisation, r.Iterations)
	}
}

// TestJigsaws puts the two sets together that are whole rectangles cut to pieces,
// whose best is known exactly.
func TestJigsaws(t *testing.T) {
	for _, name := range []string{"dighe1", "dighe2"} {
		items, width := readSet(t, name)
		r, err := Strip(items, width, Options{Seed: 1, Iterations: 3000})
		if err != nil {
			t.Fatal(err)
		}
		assertStrip(t, items, width, 0, r)
		if r.Utilisation < 0.95 {
			t.Errorf("%s: density %.4f, want 0.95 of the 1 that can be", name, r.Utilisation)
		}
	}
}

// cpuTime is the processor time the test has used, so that figures do not
// depend on what else the machine is doing.
func cpuTime(t testing.TB) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkNesting reports densities beside the best known:
//
//	go test ./solver/layout -run '^$' -bench Nesting -benchtime 1x -nesting=10s
func BenchmarkNesting(b *testing.B) {
	gap, n := 0.0, 0
	for _, p := range published {
		if *nestingSets != "" && !strings.Contains(","+*nestingSets+",", ","+p.name+",") {
			continue
		}
		b.Run(p.name, func(b *testing.B) {
			items, width := readSet(b, p.name)
			for b.Loop() {
				used := cpuTime(b)
				r, err := Strip(items, width, Options{
					Seed: *nestingSeed,
					Stop: func() bool { return cpuTime(b)-used > *nestingTime },
				})
				if err != nil {
					b.Fatal(err)
				}
				assertStrip(b, items, width, 0, r)
				b.ReportMetric(100*r.Utilisation, "density_%")
				b.ReportMetric(float64(r.Iterations), "passes")
				if p.best > 0 {
					b.ReportMetric(p.best, "best_known_%")
					gap += p.best - 100*r.Utilisation
					n++
				}
				if *nestingSVG != "" {
					writeSVG(b, filepath.Join(*nestingSVG, p.name+".svg"), items, r.Placements, 0, r.Length, width)
				}
			}
		})
	}
	if n > 0 {
		b.Logf("mean distance from the best known: %.2f points over %d runs", gap/float64(n), n)
	}
}
