package model

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"

	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/solver/paper"
)

// PanelError is a panel whose shape cannot be made solid.
type PanelError struct {
	Panel string
	Err   error
}

func (e *PanelError) Error() string { return fmt.Sprintf("model: panel %s: %v", e.Panel, e.Err) }

func (e *PanelError) Unwrap() error { return e.Err }

// WriteGLB writes a design as a binary glTF model. Panels that are not reached
// at any opening of the animation are left out. The same input gives the same
// bytes. The error is an *OptionError, a *PanelError, ErrStopped or that of w.
func WriteGLB(w io.Writer, a *kinematics.Assembly, o Options) error {
	o, err := o.resolved(a)
	if err != nil {
		return err
	}
	m := &maker{a: a, o: o}
	if err := m.make(); err != nil {
		return err
	}
	return m.write(w)
}

// maker puts a model together.
type maker struct {
	a   *kinematics.Assembly
	o   Options
	doc document
	bin bin

	stopped bool
}

// halted asks whether to give up. Once told so it does not ask again.
func (m *maker) halted() bool {
	m.stopped = m.stopped || m.o.Stop != nil && m.o.Stop()
	return m.stopped
}

// The colours of paper in linear light, as glTF has them: a warm white, a cool
// grey and the tone of a cut edge.
var materialList = []material{
	printedPaper: paperMaterial("printed", 0.955, 0.915, 0.83),
	reversePaper: paperMaterial("reverse", 0.60, 0.64, 0.66),
	paperEdge:    paperMaterial("edge", 0.78, 0.74, 0.67),
}

func paperMaterial(name string, r, g, b float32) material {
	return material{Name: name, PBR: pbr{Colour: [4]float32{r, g, b, 1}, Roughness: 0.9}}
}

func (m *maker) make() error {
	movers := m.movers()
	times := m.record(movers)
	if m.stopped {
		return ErrStopped
	}
	rest := m.a.NewPose()
	m.a.PoseInto(rest, kinematics.Drive{Opening: m.o.Rest, Hand: m.o.Hand})
	lift := lifts(m.a)

	spread := node{Name: "spread"}
	m.doc.Nodes = []node{{}} // the spread, once its children are known
	motion := animation{Name: "open", Extras: openings{m.o.From.Degrees(), m.o.To.Degrees()}}
	for i := range movers {
		if m.halted() {
			return ErrStopped
		}
		mv := &movers[i]
		if !mv.isSeen() {
			continue
		}
		name, surfaces, err := m.solid(mv, &lift)
		if err != nil {
			return err
		}
		if len(surfaces) == 0 {
			continue // all of it is cut away
		}
		number := len(m.doc.Nodes)
		spread.Children = append(spread.Children, number)
		m.doc.Nodes = append(m.doc.Nodes, m.node(name, mv, rest, surfaces))
		m.animate(&motion, number, mv, times)
	}
	m.doc.Nodes[0] = spread
	title := m.a.Design.Title
	if title == "" {
		title = "Spread"
	}
	m.doc.Asset = asset{Version: "2.0", Generator: "Foldwright"}
	m.doc.Scenes = []scene{{Name: title, Nodes: []int{0}}}
	m.doc.Materials = materialList
	m.doc.Animations = []animation{motion}
	return nil
}

// movers lists the nodes: the panels, then the parts of strips.
func (m *maker) movers() []mover {
	var out []mover
	for i := range m.a.Panels {
		box := geom.EmptyBox()
		for _, q := range m.a.Panels[i].Outline {
			box = box.Extend(q)
		}
		out = append(out, mover{panel: i, corners: []geom.Vec2{
			box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y},
		}})
	}
	for i, most := range m.mostBands() {
		width := m.a.Strips[i].Width
		for part := range most {
			out = append(out, mover{panel: noPanel, strip: i, part: part, corners: []geom.Vec2{
				{}, {X: 1}, {X: 1, Y: width}, {Y: width},
			}})
		}
	}
	return out
}

// mostBands is of how many straight parts each strip is made at most.
func (m *maker) mostBands() []int {
	most := make([]int, len(m.a.Strips))
	if len(most) == 0 {
		return nil
	}
	p := m.a.NewPose()
	for k := 0; k < samples && !m.halted(); k++ {
		t := float64(k) / (samples - 1)
		m.a.PoseInto(p, kinematics.Drive{Opening: m.o.From + geom.Angle(t)*(m.o.To-m.o.From), Hand: m.o.Hand})
		for i := range most {
			most[i] = max(most[i], paper.Bands(m.a, p, i))
		}
	}
	return most
}

// solid is the name and the paper of a node.
func (m *maker) solid(mv *mover, lift *heights) (string, []surface, error) {
	thick := m.a.Design.Paper.Caliper
	if mv.panel == noPanel {
		s := &m.a.Strips[mv.strip]
		// One mm long, to be stretched; its printed side is that of its panel.
		low := float64(lift.strip(mv.strip, mv.part)) * thick
		ring := []geom.Vec2{{}, {X: 1}, {X: 1, Y: s.Width}, {Y: s.Width}}
		return fmt.Sprintf("%s.%d", s.ID, mv.part), sheet([][]geom.Vec2{ring}, low, low+thick, 1), nil
	}
	p := &m.a.Panels[mv.panel]
	rings, err := paper.Rings(p, m.o.Flatness)
	if err != nil {
		return "", nil, &PanelError{p.ID, err}
	}
	low := float64(lift.panels[mv.panel]) * thick
	high := low + thick
	if p.Printed < 0 {
		low, high = -high, -low
	}
	return p.ID, sheet(rings, low, high, p.Printed), nil
}

// node is a node at its place at rest.
func (m *maker) node(name string, mv *mover, rest *kinematics.Pose, surfaces []surface) node {
	number := len(m.doc.Meshes)
	solid := mesh{Name: name}
	for i := range surfaces {
		s := &surfaces[i]
		solid.Primitives = append(solid.Primitives, primitive{
			Attributes: attributes{Position: m.bin.vertices(s.positions, true), Normal: m.bin.vertices(s.normals, false)},
			Indices:    m.bin.triangles(s.indices),
			Material:   s.material,
		})
	}
	m.doc.Meshes = append(m.doc.Meshes, solid)

	at := mv.in(m.a, rest)
	hidden := !at.there
	if hidden { // where it is last on the way
		at = mv.path[len(mv.path)-1]
	}
	n := node{Name: name, Mesh: &number}
	place, turn := raised(at.at), at.turn.float()
	n.Translation, n.Rotation = &place, &turn
	if scale := scaleOf(&at, hidden); scale != (vec3{1, 1, 1}) {
		n.Scale = &scale
	}
	return n
}

func scaleOf(p *placement, hidden bool) vec3 {
	if hidden {
		return vec3{}
	}
	return vec3{float32(p.stretch), 1, 1}
}

// float is the rotation in the axes and the precision of glTF.
func (q quaternion) float() [4]float32 {
	r := q.raised()
	return [4]float32{float32(r.x), float32(r.y), float32(r.z), float32(r.w)}
}

// animate adds the channels that move a node.
func (m *maker) animate(motion *animation, number int, mv *mover, times []float64) {
	second := func(k int) float32 { return float32(times[k] * m.o.Seconds) }
	keys := mv.keys(times, m.o.Tolerance)
	var at, places, turns, scales []float32
	for _, k := range keys {
		t := second(k)
		if n := len(at); n > 0 && t <= at[n-1] {
			continue // closer than single precision tells apart
		}
		at = append(at, t)
		p := &mv.path[k]
		place, turn := raised(p.at), p.turn.float()
		places = append(places, place[:]...)
		turns = append(turns, turn[:]...)
		scale := scaleOf(p, !p.there)
		scales = append(scales, scale[:]...)
	}
	input := m.bin.times(at)
	m.channel(motion, number, "translation", sampler{input, m.bin.values(places, 3), "LINEAR"})
	m.channel(motion, number, "rotation", sampler{input, m.bin.values(turns, 4), "LINEAR"})

	switch {
	case mv.panel == noPanel:
		m.channel(motion, number, "scale", sampler{input, m.bin.values(scales, 3), "LINEAR"})
	case !mv.alwaysSeen():
		at, scales = nil, nil
		for k := range times {
			if k > 0 && mv.path[k].there == mv.path[k-1].there {
				continue
			}
			t := second(k)
			scale := scaleOf(&mv.path[k], !mv.path[k].there)
			if n := len(at); n > 0 && t <= at[n-1] {
				copy(scales[3*(n-1):], scale[:])
				continue
			}
			at = append(at, t)
			scales = append(scales, scale[:]...)
		}
		m.channel(motion, number, "scale", sampler{m.bin.times(at), m.bin.values(scales, 3), "STEP"})
	}
}

func (mv *mover) alwaysSeen() bool {
	for i := range mv.path {
		if !mv.path[i].there {
			return false
		}
	}
	return true
}

func (m *maker) channel(motion *animation, number int, path string, s sampler) {
	motion.Channels = append(motion.Channels, channel{len(motion.Samplers), target{number, path}})
	motion.Samplers = append(motion.Samplers, s)
}

// The container of binary glTF: a header and two chunks, each padded to four
// bytes.
const (
	glbMagic  = 0x46546C67 // "glTF"
	chunkJSON = 0x4E4F534A
	chunkBIN  = 0x004E4942
)

func (m *maker) write(w io.Writer) error {
	var data []byte
	m.doc.BufferViews, data = m.bin.views()
	m.doc.Buffers = []buffer{{len(data)}}
	m.doc.Accessors = m.bin.accessors
	text, err := json.Marshal(&m.doc)
	if err != nil {
		return err
	}
	for len(text)%4 != 0 {
		text = append(text, ' ')
	}
	u32 := binary.LittleEndian.AppendUint32
	out := make([]byte, 0, 28+len(text)+len(data))
	out = u32(u32(u32(out, glbMagic), 2), uint32(28+len(text)+len(data)))
	out = append(u32(u32(out, uint32(len(text))), chunkJSON), text...)
	out = append(u32(u32(out, uint32(len(data))), chunkBIN), data...) // made of fours
	_, err = w.Write(out)
	return err
}
