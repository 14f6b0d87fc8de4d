package model

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"foldwright/solver/design"
	"foldwright/solver/geom"
	"foldwright/solver/kinematics"
	"foldwright/testdata/designs"
)

func compile(t rapid.TB, document string) *kinematics.Assembly {
	t.Helper()
	d, err := design.Decode([]byte(document))
	if err != nil {
		t.Fatal(err)
	}
	return kinematics.Compile(d)
}

func spread(mechanisms string) string {
	return `{"spread":{"page_width":130,"page_height":180},"mechanisms":[` + mechanisms + `]}`
}

func example(t rapid.TB, name string) *kinematics.Assembly {
	t.Helper()
	document, ok := designs.Read(name)
	if !ok {
		t.Fatalf("no example %s", name)
	}
	return compile(t, string(document))
}

// others are designs with what the examples leave out: openings that are not
// reached, strips, things moved by hand, and outlines that turn in and have holes.
var others = map[string]string{
	"locked": `{"id":"bow","kind":"v_fold","on":{"fold":"gutter"},"at":40,"left":{"base_angle":70,"panel_angle":40,"base_length":50},"ridge_length":60}`,
	"tent":   `{"id":"sail","kind":"slide_tent","on":{"panel":"page.right"},"from":60,"to":110,"fixed_offset":20,"near_width":30,"far_width":35,"travel":30,"strip":{"width":14}}`,
	"hand": `{"id":"hatch","kind":"flap","on":{"panel":"page.left"},"place":{"u":30,"v":40},"hinge_length":40,"depth":30},
		{"id":"disc","kind":"wheel","on":{"panel":"page.right"},"place":{"u":120,"v":60},"radius":25},
		{"id":"tug","kind":"pull_tab","on":{"panel":"page.right"},"place":{"u":30,"v":60,"rotate":90},"outline":"M-15 -10 H15 V10 H-15 Z","stroke":40,"strip":{"width":12,"length":90}}`,
	"knot": `{"id":"knot","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H30 V24 L15 8 L4 30 Z","place":{"u":40,"v":40}},
		{"id":"rope","kind":"figure","on":{"panel":"page.right"},"outline":"M0 0 H40 V8 H0 Z M5 2 H10 V6 H5 Z","place":{"u":40,"v":40}},
		{"id":"eye","kind":"figure","on":{"panel":"rope.figure"},"outline":"M0 0 H8 V8 H0 Z","place":{"u":20,"v":0}}`,
}

// each calls f for every example and every one of the others.
func each(t *testing.T, f func(t *testing.T, a *kinematics.Assembly)) {
	for _, name := range designs.Names() {
		t.Run(name, func(t *testing.T) { f(t, example(t, name)) })
	}
	names := make([]string, 0, len(others))
	for name := range others {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t.Run(name, func(t *testing.T) { f(t, compile(t, spread(others[name]))) })
	}
}

// read is a model read back, by nothing but the words of the format.
type read struct {
	doc  document
	data []byte
}

func write(t testing.TB, a *kinematics.Assembly, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteGLB(&b, a, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBack(t testing.TB, glb []byte) *read {
	t.Helper()
	u32 := func(at int) int { return int(binary.LittleEndian.Uint32(glb[at:])) }
	if string(glb[:4]) != "glTF" || u32(4) != 2 || u32(8) != len(glb) {
		t.Fatalf("header % x of %d bytes", glb[:12], len(glb))
	}
	size := u32(12)
	if string(glb[16:20]) != "JSON" || size%4 != 0 || string(glb[24+size:28+size]) != "BIN\x00" || u32(20+size)%4 != 0 || 28+size+u32(20+size) != len(glb) {
		t.Fatal("the chunks are not what the header says")
	}
	r := &read{data: glb[28+size:]}
	d := json.NewDecoder(bytes.NewReader(glb[20 : 20+size]))
	d.DisallowUnknownFields()
	if err := d.Decode(&r.doc); err != nil {
		t.Fatal(err)
	}
	return r
}

// numbers are the values of an accessor.
func (r *read) numbers(accessor int) []float64 {
	a := &r.doc.Accessors[accessor]
	view := &r.doc.BufferViews[a.BufferView]
	n := a.Count * map[string]int{"SCALAR": 1, "VEC3": 3, "VEC4": 4}[a.Type]
	out := make([]float64, n)
	for i := range out {
		bits := binary.LittleEndian.Uint32(r.data[view.ByteOffset+a.ByteOffset+4*i:])
		out[i] = float64(bits)
		if a.ComponentType == typeFloat {
			out[i] = float64(math.Float32frombits(bits))
		}
	}
	return out
}

func (r *read) vectors(accessor int) []geom.Vec3 {
	list := r.numbers(accessor)
	out := make([]geom.Vec3, len(list)/3)
	for i := range out {
		out[i] = geom.Vec3{X: list[3*i], Y: list[3*i+1], Z: list[3*i+2]}
	}
	return out
}

// triangles of a node, by material, in the frame of the node.
func (r *read) triangles(n *node) (byMaterial [materials][][3]geom.Vec3) {
	for _, p := range r.doc.Meshes[*n.Mesh].Primitives {
		at := r.vectors(p.Attributes.Position)
		list := r.numbers(p.Indices)
		for i := 0; i < len(list); i += 3 {
			byMaterial[p.Material] = append(byMaterial[p.Material], [3]geom.Vec3{at[int(list[i])], at[int(list[i+1])], at[int(list[i+2])]})
		}
	}
	return byMaterial
}

// state is where a node is: scale, then rotation, then translation.
type state struct {
	scale, move geom.Vec3
	turn        quaternion
}

func (s *state) apply(p geom.Vec3) geom.Vec3 {
	return s.turn.rotate(geom.Vec3{X: p.X * s.scale.X, Y: p.Y * s.scale.Y, Z: p.Z * s.scale.Z}).Add(s.move)
}

func vector(v *vec3, instead geom.Vec3) geom.Vec3 {
	if v == nil {
		return instead
	}
	return geom.Vec3{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
}

func (n *node) rest() state {
	return state{
		scale: vector(n.Scale, geom.Vec3{X: 1, Y: 1, Z: 1}), move: vector(n.Translation, geom.Vec3{}),
		turn: quaternion{float64(n.Rotation[0]), float64(n.Rotation[1]), float64(n.Rotation[2]), float64(n.Rotation[3])},
	}
}

// play is where a node is at a time of the animation.
func (r *read) play(number int, at float64) state {
	s := r.doc.Nodes[number].rest()
	motion := &r.doc.Animations[0]
	for _, c := range motion.Channels {
		if c.Target.Node != number {
			continue
		}
		sampler := &motion.Samplers[c.Sampler]
		times, values := r.numbers(sampler.Input), r.numbers(sampler.Output)
		k := 0
		for k+1 < len(times)-1 && times[k+1] <= at {
			k++
		}
		next := min(k+1, len(times)-1)
		f := 0.0
		if next > k {
			f = min(max((at-times[k])/(times[next]-times[k]), 0), 1)
		}
		if sampler.Interpolation == "STEP" {
			if f < 1 {
				f = 0
			}
		}
		if c.Target.Path == "rotation" {
			a, b := values[4*k:], values[4*next:]
			s.turn = quaternion{a[0], a[1], a[2], a[3]}.toward(quaternion{b[0], b[1], b[2], b[3]}, f)
			continue
		}
		a, b := values[3*k:], values[3*next:]
		v := geom.Vec3{X: a[0] + (b[0]-a[0])*f, Y: a[1] + (b[1]-a[1])*f, Z: a[2] + (b[2]-a[2])*f}
		if c.Target.Path == "scale" {
			s.scale = v
		} else {
			s.move = v
		}
	}
	return s
}
