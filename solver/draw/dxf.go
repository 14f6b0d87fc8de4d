package draw

import (
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"foldwright/solver/geom"
)

// DXFOptions shape a DXF file. The zero value is the default.
type DXFOptions struct {
	Styles    *StyleTable // nil for DefaultStyles
	Tolerance float64     // chord error of curves other than circular arcs, mm; 0 for 0.02
}

const (
	// dxfFlatness is below what any cutter resolves, and a card's curves then
	// need tens of points rather than hundreds, mm.
	dxfFlatness = 0.02
	// dxfDecimals of a millimetre: a nanometre, so that reading back measures
	// the drawing and not the rounding.
	dxfDecimals = 6
	// bulgeDecimals keep the sagitta bulge·chord/2 of a metre's chord to a
	// nanometre.
	bulgeDecimals = 10
)

// WriteDXF writes a drawing-interchange file of release 2000 (AC1015) in
// millimetres, in the drawing's own coordinates: one layer for each operation,
// each contour a lightweight polyline with its circular arcs as bulges, text
// as TEXT. Parts come in their order, and within a part operations in working
// order. Source of the structure: the DXF Reference for release 2000.
func WriteDXF(w io.Writer, d *Drawing, o DXFOptions) error {
	if err := d.check(); err != nil {
		return err
	}
	if !(o.Tolerance > 0) {
		o.Tolerance = dxfFlatness
	}
	x := dxfWriter{styles: resolved(o.Styles), tolerance: o.Tolerance, next: firstFreeHandle}
	x.layers, x.layerOf = layersOf(&x.styles)
	x.entities(d)
	body := x.b
	x.b = nil
	x.header(d)
	x.classes()
	x.tables(d)
	x.blocks()
	x.b = append(x.b, body...)
	x.objects(d)
	x.pair(0, "EOF")
	return writeAll(w, x.b)
}

// Fixed handles of the objects every file has. Handles are hexadecimal, unique
// in the file, and owners are named by them.
const (
	handleBlockTable      = 0x01
	handleLayerTable      = 0x02
	handleStyleTable      = 0x03
	handleLtypeTable      = 0x05
	handleViewTable       = 0x06
	handleUCSTable        = 0x07
	handleVportTable      = 0x08
	handleAppidTable      = 0x09
	handleDimTable        = 0x0A
	handleRootDict        = 0x0C
	handleGroupDict       = 0x0D
	handlePlotStyleDict   = 0x0E
	handlePlotStyle       = 0x0F
	handleTextStyle       = 0x11
	handleAppid           = 0x12
	handleLtypeByBlock    = 0x14
	handleLtypeByLayer    = 0x15
	handleLtypeContinuous = 0x16
	handleMlineDict       = 0x17
	handleMline           = 0x18
	handleLayoutDict      = 0x1A
	handlePaperSpace      = 0x1B
	handlePaperBlock      = 0x1C
	handlePaperEnd        = 0x1D
	handlePaperLayout     = 0x1E
	handleModelSpace      = 0x1F
	handleModelBlock      = 0x20
	handleModelEnd        = 0x21
	handleModelLayout     = 0x22
	handleDimStyle        = 0x27
	handleVport           = 0x29
	handleLayerZero       = 0x10
	handleLtypes          = 0x40 // one per operation
	handleLayers          = 0x60 // one per operation
	firstFreeHandle       = 0x100
)

// layer is a layer of the file and the style its entities follow.
type layer struct {
	name   string
	op     Operation
	handle int
}

// layersOf gives operations that share a layer name one layer, in the style of
// the first of them.
func layersOf(t *StyleTable) (layers []layer, of [operationCount]int) {
	index := map[string]int{}
	for i := range t {
		name := dxfName(t[i].Layer, Operation(i).String())
		key := strings.ToUpper(name) // names differ by more than case
		at, ok := index[key]
		if !ok {
			at = len(layers)
			index[key] = at
			layers = append(layers, layer{name: name, op: Operation(i), handle: handleLayers + i})
		}
		of[i] = at
	}
	return layers, of
}

type dxfWriter struct {
	b         []byte
	styles    StyleTable
	layers    []layer
	layerOf   [operationCount]int
	tolerance float64
	next      int // next free handle
}

func (x *dxfWriter) code(code int) {
	x.b = strconv.AppendInt(x.b, int64(code), 10)
	x.b = append(x.b, '\n')
}

func (x *dxfWriter) pair(code int, value string) {
	x.code(code)
	x.b = append(x.b, value...)
	x.b = append(x.b, '\n')
}

func (x *dxfWriter) integer(code, v int) {
	x.code(code)
	x.b = strconv.AppendInt(x.b, int64(v), 10)
	x.b = append(x.b, '\n')
}

func (x *dxfWriter) handle(code, h int) {
	x.code(code)
	for _, c := range strconv.AppendInt(nil, int64(h), 16) {
		if c >= 'a' {
			c -= 'a' - 'A'
		}
		x.b = append(x.b, c)
	}
	x.b = append(x.b, '\n')
}

// number writes a real; some readers want its decimal point even when whole.
func (x *dxfWriter) number(code int, v float64, decimals int) {
	x.code(code)
	from := len(x.b)
	x.b = geom.AppendNumber(x.b, v, decimals)
	if !slices.Contains(x.b[from:], '.') {
		x.b = append(x.b, ".0"...)
	}
	x.b = append(x.b, '\n')
}

func (x *dxfWriter) real(code int, v float64) { x.number(code, v, dxfDecimals) }

// point writes x, y and z under codes code, code+10 and code+20.
func (x *dxfWriter) point(code int, v geom.Vec2) {
	x.real(code, v.X)
	x.real(code+10, v.Y)
	x.real(code+20, 0)
}

func (x *dxfWriter) point2(code int, v geom.Vec2) {
	x.real(code, v.X)
	x.real(code+10, v.Y)
}

func (x *dxfWriter) section(name string) {
	x.pair(0, "SECTION")
	x.pair(2, name)
}

func (x *dxfWriter) endSection() { x.pair(0, "ENDSEC") }

func (x *dxfWriter) header(d *Drawing) {
	x.section("HEADER")
	variable := func(name string, write func()) {
		x.pair(9, name)
		write()
	}
	variable("$ACADVER", func() { x.pair(1, "AC1015") })
	variable("$DWGCODEPAGE", func() { x.pair(3, "ANSI_1252") })
	variable("$INSBASE", func() { x.point(10, geom.Vec2{}) })
	variable("$EXTMIN", func() { x.point(10, d.Box.Min) })
	variable("$EXTMAX", func() { x.point(10, d.Box.Max) })
	variable("$LIMMIN", func() { x.point2(10, d.Box.Min) })
	variable("$LIMMAX", func() { x.point2(10, d.Box.Max) })
	variable("$LTSCALE", func() { x.real(40, 1) })
	variable("$TEXTSTYLE", func() { x.pair(7, "Standard") })
	variable("$CLAYER", func() { x.pair(8, "0") })
	variable("$DIMSTYLE", func() { x.pair(2, "Standard") })
	variable("$LUNITS", func() { x.integer(70, 2) })
	variable("$LUPREC", func() { x.integer(70, 4) })
	variable("$MEASUREMENT", func() { x.integer(70, 1) })
	variable("$INSUNITS", func() { x.integer(70, 4) })
	variable("$HANDSEED", func() { x.handle(5, x.next) })
	x.endSection()
}

func (x *dxfWriter) classes() {
	x.section("CLASSES")
	x.endSection()
}

func (x *dxfWriter) blocks() {
	x.section("BLOCKS")
	for _, b := range []struct {
		name              string
		record, open, end int
		paper             bool
	}{
		{"*Model_Space", handleModelSpace, handleModelBlock, handleModelEnd, false},
		{"*Paper_Space", handlePaperSpace, handlePaperBlock, handlePaperEnd, true},
	} {
		begin := func(kind string, handle int) {
			x.pair(0, kind)
			x.handle(5, handle)
			x.handle(330, b.record)
			x.pair(100, "AcDbEntity")
			if b.paper {
				x.integer(67, 1)
			}
			x.pair(8, "0")
		}
		begin("BLOCK", b.open)
		x.pair(100, "AcDbBlockBegin")
		x.pair(2, b.name)
		x.integer(70, 0)
		x.point(10, geom.Vec2{})
		x.pair(3, b.name)
		x.pair(1, "")
		begin("ENDBLK", b.end)
		x.pair(100, "AcDbBlockEnd")
	}
	x.endSection()
}

func (x *dxfWriter) entities(d *Drawing) {
	x.section("ENTITIES")
	for i := range d.Parts {
		p := &d.Parts[i]
		for _, op := range workOrder {
			for j := range p.Marks {
				m := &p.Marks[j]
				if m.Op != op {
					continue
				}
				path := m.Path.Transform(p.Place)
				x.polylines(op, path)
				if m.Fill && op == Glue {
					x.polylines(op, hatch(path))
				}
			}
			for _, t := range p.Texts {
				if t.Op == op && t.S != "" {
					x.text(t.placed(p.Place))
				}
			}
		}
	}
	x.endSection()
}

// entity opens an entity on its operation's layer. What its style has of its
// own, when the layer is another operation's too, it carries itself.
func (x *dxfWriter) entity(kind string, op Operation) {
	l := &x.layers[x.layerOf[op]]
	x.pair(0, kind)
	x.handle(5, x.next)
	x.next++
	x.handle(330, handleModelSpace)
	x.pair(100, "AcDbEntity")
	x.pair(8, l.name)
	if l.op != op {
		x.pair(6, x.ltypeName(op))
		x.integer(62, aci(x.styles[op].ACI))
		x.integer(370, lineWeight(x.styles[op].Width))
	}
}

func (x *dxfWriter) polylines(op Operation, p geom.Path) {
	for i := range p {
		c := &p[i]
		vertices := c.BulgePolyline(x.tolerance)
		if len(vertices) < 2 {
			continue
		}
		x.entity("LWPOLYLINE", op)
		x.pair(100, "AcDbPolyline")
		x.integer(90, len(vertices))
		// 1 closes the line; 128 lets dashes run on through the vertices.
		flags := 0
		if c.Closed {
			flags |= 1
		}
		if len(x.styles[op].Dash) > 0 {
			flags |= 128
		}
		x.integer(70, flags)
		x.real(43, 0)
		for _, v := range vertices {
			x.point2(10, v.Point)
			if v.Bulge != 0 {
				x.number(42, v.Bulge, bulgeDecimals)
			}
		}
	}
}

func (x *dxfWriter) text(t Text) {
	x.entity("TEXT", t.Op)
	x.pair(100, "AcDbText")
	x.point(10, t.At)
	x.real(40, t.Height)
	x.pair(1, dxfText(t.S))
	if turn := math.Mod(t.Angle.Degrees()+360, 360); turn != 0 {
		x.real(50, turn)
	}
	x.pair(7, "Standard")
	if t.Anchor != Start {
		// Centred and right-aligned text stands on its second point.
		x.integer(72, int(t.Anchor))
		x.point(11, t.At)
	}
	x.pair(100, "AcDbText")
}
