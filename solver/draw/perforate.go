package draw

import (
	"math"
	"slices"

	"foldwright/solver/geom"
)

// Perforation is how a line becomes dashes cut through and ties left, mm. Zero
// takes the default.
type Perforation struct {
	Cut, Tie   float64
	Operations []Operation // which lines; Perforate alone when empty
}

const (
	// defaultDash and defaultTie are three to one with ties of a millimetre,
	// for lines to fold along or to tear by hand (common practice: 2 to 3:1
	// and 1 to 2 mm). Printed forms have 4:1.
	defaultDash = 3.0
	defaultTie  = 1.0
	// minDashCut is the shortest dash that is cut at all: a blade needs as much
	// to go in and out.
	minDashCut = 0.4
	// dashFlatness is the chord error of curves when dashes are measured off.
	dashFlatness = 0.01
)

// ExpandPerforations gives a copy of the drawing in which perforations are
// short cuts, for cutters that know no dashes. Between ends and crossings the
// dashes are stretched or shrunk to come out even, in the given ratio. A whole
// tie is left at the ends of an open line, and one across each place where
// another cut or perforation meets the line, so that nothing falls out.
func ExpandPerforations(d *Drawing, o Perforation) (*Drawing, error) {
	rule, err := o.rule()
	if err != nil {
		return nil, err
	}
	if len(o.Operations) == 0 {
		o.Operations = []Operation{Perforate}
	}
	rules := map[Operation]dashRule{}
	for _, op := range o.Operations {
		rules[op] = rule
	}
	return inDashes(d, rules, func(m *Mark) {
		if m.ID != "" {
			m.ID = m.Op.String() + "-" + m.ID // apart from a cut of that id
		}
		m.Op = Cut
	})
}

// rule is checked, with the defaults filled in.
func (o Perforation) rule() (dashRule, error) {
	rule := dashRule{cut: o.Cut, tie: o.Tie}
	if rule.cut == 0 {
		rule.cut = defaultDash
	}
	if rule.tie == 0 {
		rule.tie = defaultTie
	}
	if !(rule.cut > 0) || math.IsInf(rule.cut, 0) {
		return rule, &OptionError{"cut", "is not a length"}
	}
	if !(rule.tie > 0) || math.IsInf(rule.tie, 0) {
		return rule, &OptionError{"tie", "is not a length"}
	}
	return rule, nil
}

// dashRule is how a line is divided, mm.
type dashRule struct {
	cut, tie float64
	uneven   float64 // by how much of cut dashes are longer and shorter in turn
	whole    bool    // ties are left at ends and crossings only
}

// inDashes gives a copy of the drawing in which lines of some operations are
// dashes; changed is told of each such mark.
func inDashes(d *Drawing, rules map[Operation]dashRule, changed func(*Mark)) (*Drawing, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	chords := crossingChords(d, rules)
	out := d.clone()
	for i := range out.Parts {
		p := &out.Parts[i]
		for j := range p.Marks {
			m := &p.Marks[j]
			rule, dashed := rules[m.Op]
			if m.Fill || !dashed {
				continue
			}
			var path geom.Path
			for k := range m.Path {
				path = append(path, dashes(&m.Path[k], p.Place, lineAt{i, j, k}, chords, rule)...)
			}
			m.Path = path
			changed(m)
		}
		p.Marks = slices.DeleteFunc(p.Marks, func(m Mark) bool { return len(m.Path) == 0 })
	}
	if err := out.check(); err != nil {
		return nil, err
	}
	return out, nil
}

// lineAt names a contour of a drawing.
type lineAt struct{ part, mark, contour int }

// chordAt is a straight piece of a line, as placed.
type chordAt struct {
	lineAt
	a, b geom.Vec2
	box  geom.Box2
}

// crossingChords lists everything that a perforation must leave a tie at.
func crossingChords(d *Drawing, rules map[Operation]dashRule) []chordAt {
	var out []chordAt
	for i := range d.Parts {
		p := &d.Parts[i]
		for j := range p.Marks {
			m := &p.Marks[j]
			if _, dashed := rules[m.Op]; m.Fill || m.Op != Cut && m.Op != Perforate && !dashed {
				continue
			}
			for k := range m.Path {
				points := m.Path[k : k+1].Transform(p.Place).Flatten(dashFlatness)[0]
				n := len(points) - 1
				if m.Path[k].Closed {
					n++
				}
				for c := range n {
					a, b := points[c], points[(c+1)%len(points)]
					out = append(out, chordAt{lineAt{i, j, k}, a, b, geom.Box2{Min: a, Max: a}.Extend(b).Grow(coincidence)})
				}
			}
		}
	}
	return out
}

// dashes are the short cuts of one contour, in its part's coordinates.
func dashes(c *geom.Contour, place geom.Placement, at lineAt, chords []chordAt, rule dashRule) geom.Path {
	factor := place.Factor()
	strokes := strokesOf(c, dashFlatness/factor)
	starts := make([]float64, len(strokes)+1) // where each stroke begins, mm of the drawing
	for i, k := range strokes {
		starts[i+1] = starts[i] + k.length()*factor
	}
	total := starts[len(strokes)]

	var stops []float64
	for i, k := range strokes {
		placed := lineUnit{k: k}.placed(place).k
		box := strokesPath([]stroke{placed}, false).Bounds()
		for _, chord := range chords {
			if chord.lineAt != at && box.Overlaps(chord.box) {
				for _, t := range meets(placed, chord.a, chord.b) {
					stops = append(stops, starts[i]+t*(starts[i+1]-starts[i]))
				}
			}
		}
	}
	slices.Sort(stops)
	// Crossings closer than a tie share it, and those at an end the end's.
	stops = slices.CompactFunc(stops, func(a, b float64) bool { return math.Abs(b-a) < rule.tie/2 })
	var out geom.Path
	// Of short dashes all are cut: every other one is shorter on purpose, and
	// those of a line too short for a whole one.
	shortest := min(minDashCut, rule.cut*(1-rule.uneven)/2)
	cut := func(from, to float64) {
		if to-from >= shortest {
			out = append(out, strokesPath(between(strokes, starts, from, to), false)...)
		}
	}
	if c.Closed {
		if len(stops) == 0 {
			stops = []float64{0}
		}
		for i, from := range stops {
			to := stops[0] + total
			if i+1 < len(stops) {
				to = stops[i+1]
			}
			evenDashes(from, to, 0.5, 0.5, rule, cut)
		}
		return out
	}
	from, tie := 0.0, 1.0
	for _, s := range stops {
		if s > rule.tie/2 && s < total-rule.tie/2 {
			evenDashes(from, s, tie, 0.5, rule, cut)
			from, tie = s, 0.5
		}
	}
	evenDashes(from, total, tie, 1, rule, cut)
	if len(out) == 0 && total >= 2*minDashCut {
		// Ties as long as the line: half of it is cut all the same, since a
		// crease that is missing is found only when the card is folded.
		cut(total/4, total*3/4)
	}
	return out
}

// evenDashes divides a length into dashes with ties between them and parts of
// a tie at its ends, all scaled alike.
func evenDashes(from, to, first, last float64, rule dashRule, cut func(from, to float64)) {
	if rule.whole {
		cut(from+first*rule.tie, to-last*rule.tie)
		return
	}
	n := max(1, math.Round((to-from-(first+last-1)*rule.tie)/(rule.cut+rule.tie)))
	long := rule.uneven * rule.cut * math.Mod(n, 2) // an odd dash is a long one
	scale := (to - from) / (n*rule.cut + long + (n-1+first+last)*rule.tie)
	at := from + first*rule.tie*scale
	longer := rule.uneven
	for range int(n) {
		end := at + rule.cut*(1+longer)*scale
		cut(at, end)
		at, longer = end+rule.tie*scale, -longer
	}
}

// between is the strokes from one length to another; past the end of a closed
// contour it goes on at the start.
func between(strokes []stroke, starts []float64, from, to float64) []stroke {
	total := starts[len(strokes)]
	var out []stroke
	for lap := range 2 {
		for i, k := range strokes {
			begin, length := starts[i]+float64(lap)*total, starts[i+1]-starts[i]
			a, b := max(0, (from-begin)/length), min(1, (to-begin)/length)
			if (b-a)*length > coincidence/10 {
				out = append(out, k.piece(a, b))
			}
		}
	}
	return out
}

// meets is where a chord meets a stroke, in fractions of the stroke. Lines
// that lie on each other meet nowhere.
func meets(k stroke, a, b geom.Vec2) []float64 {
	d := b.Sub(a)
	length := d.Norm()
	if length == 0 {
		return nil
	}
	slack := coincidence / length
	var out []float64
	if k.bulge == 0 {
		e := k.chord()
		den := e.Cross(d)
		if math.Abs(den) <= 1e-6*length*e.Norm() { // parallel
			return nil
		}
		t, s := a.Sub(k.a).Cross(d)/den, a.Sub(k.a).Cross(e)/den
		end := coincidence / e.Norm()
		if s >= -slack && s <= 1+slack && t >= -end && t <= 1+end {
			out = append(out, min(1, max(0, t)))
		}
		return out
	}
	// |a + s d - center| = r
	r, f := k.radius(), a.Sub(k.center())
	half, rest := f.Dot(d)/(length*length), (f.Dot(f)-r*r)/(length*length)
	root := half*half - rest
	if root < 0 {
		return nil
	}
	turn := math.Abs(k.turn())
	end := coincidence / (r * turn)
	for _, s := range [2]float64{-half - math.Sqrt(root), -half + math.Sqrt(root)} {
		if s < -slack || s > 1+slack {
			continue
		}
		u, w := k.a.Sub(k.center()), f.Add(d.Mul(s))
		angle := math.Atan2(u.Cross(w), u.Dot(w)) * math.Copysign(1, k.bulge)
		if angle < -end*turn {
			angle += 2 * math.Pi
		}
		if t := angle / turn; t >= -end && t <= 1+end {
			out = append(out, min(1, max(0, t)))
		}
	}
	return out
}
