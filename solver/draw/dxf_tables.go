package draw

import (
	"cmp"
	"math"
	"slices"

	"foldwright/solver/geom"
)

// lineWeights are the only values group 370 may have, hundredths of a mm.
var lineWeights = []int{0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211}

func lineWeight(width float64) int {
	return slices.MinFunc(lineWeights, func(a, b int) int {
		return cmp.Compare(math.Abs(float64(a)-100*width), math.Abs(float64(b)-100*width))
	})
}

// aci keeps a colour index legal; 7 is black or white, whichever shows.
func aci(index int) int {
	if index < 1 || index > 255 {
		return 7
	}
	return index
}

func (x *dxfWriter) ltypeName(op Operation) string {
	if len(x.styles[op].Dash) == 0 {
		return "Continuous"
	}
	return "DASH_" + dxfName(op.String(), "")
}

// table opens a symbol table that will hold n records.
func (x *dxfWriter) table(name string, handle, n int) {
	x.pair(0, "TABLE")
	x.pair(2, name)
	x.handle(5, handle)
	x.handle(330, 0)
	x.pair(100, "AcDbSymbolTable")
	x.integer(70, n)
}

func (x *dxfWriter) endTable() { x.pair(0, "ENDTAB") }

func (x *dxfWriter) record(kind string, handle, owner int, class, name string) {
	x.pair(0, kind)
	code := 5
	if kind == "DIMSTYLE" {
		code = 105 // 5 means a block name there
	}
	x.handle(code, handle)
	x.handle(330, owner)
	x.pair(100, "AcDbSymbolTableRecord")
	x.pair(100, class)
	x.pair(2, name)
	if kind != "BLOCK_RECORD" {
		x.integer(70, 0)
	}
}

func (x *dxfWriter) tables(d *Drawing) {
	x.section("TABLES")
	x.vport(d)
	x.ltypes()
	x.layerTable()

	x.table("STYLE", handleStyleTable, 1)
	x.record("STYLE", handleTextStyle, handleStyleTable, "AcDbTextStyleTableRecord", "Standard")
	x.real(40, 0) // height is the text's own
	x.real(41, 1)
	x.real(50, 0)
	x.integer(71, 0)
	x.real(42, 2.5)
	x.pair(3, "txt")
	x.pair(4, "")
	x.endTable()

	x.table("VIEW", handleViewTable, 0)
	x.endTable()
	x.table("UCS", handleUCSTable, 0)
	x.endTable()

	x.table("APPID", handleAppidTable, 1)
	x.record("APPID", handleAppid, handleAppidTable, "AcDbRegAppTableRecord", "ACAD")
	x.endTable()

	x.table("DIMSTYLE", handleDimTable, 1)
	x.pair(100, "AcDbDimStyleTable")
	x.integer(71, 0)
	x.record("DIMSTYLE", handleDimStyle, handleDimTable, "AcDbDimStyleTableRecord", "Standard")
	x.endTable()

	x.table("BLOCK_RECORD", handleBlockTable, 2)
	x.record("BLOCK_RECORD", handleModelSpace, handleBlockTable, "AcDbBlockTableRecord", "*Model_Space")
	x.handle(340, handleModelLayout)
	x.record("BLOCK_RECORD", handlePaperSpace, handleBlockTable, "AcDbBlockTableRecord", "*Paper_Space")
	x.handle(340, handlePaperLayout)
	x.endTable()
	x.endSection()
}

// vport makes the file open with the whole drawing in view.
func (x *dxfWriter) vport(d *Drawing) {
	size := d.Box.Size()
	x.table("VPORT", handleVportTable, 1)
	x.record("VPORT", handleVport, handleVportTable, "AcDbViewportTableRecord", "*Active")
	x.point2(10, geom.Vec2{})
	x.point2(11, geom.Vec2{X: 1, Y: 1})
	x.point2(12, d.Box.Center())
	x.point2(13, geom.Vec2{})
	x.point2(14, geom.Vec2{X: 10, Y: 10})
	x.point2(15, geom.Vec2{X: 10, Y: 10})
	x.real(16, 0)
	x.real(26, 0)
	x.real(36, 1)
	x.point(17, geom.Vec2{})
	x.real(40, 1.05*size.Y) // height in view, with a little air
	x.real(41, max(1, size.X/size.Y))
	x.real(42, 50)
	x.real(43, 0)
	x.real(44, 0)
	x.real(50, 0)
	x.real(51, 0)
	x.integer(71, 0)
	x.integer(72, 100)
	x.integer(73, 1)
	x.integer(74, 3)
	x.integer(75, 0)
	x.integer(76, 0)
	x.integer(77, 0)
	x.integer(78, 0)
	x.endTable()
}

func (x *dxfWriter) ltypes() {
	var dashed []Operation
	for op := range operationCount {
		if len(x.styles[op].Dash) > 0 {
			dashed = append(dashed, op)
		}
	}
	x.table("LTYPE", handleLtypeTable, 3+len(dashed))
	line := func(handle int, name, about string, pattern []float64) {
		x.record("LTYPE", handle, handleLtypeTable, "AcDbLinetypeTableRecord", name)
		x.pair(3, about)
		x.integer(72, 65)
		x.integer(73, len(pattern))
		total := 0.0
		for _, v := range pattern {
			total += v
		}
		x.real(40, total)
		for i, v := range pattern {
			if i%2 == 1 {
				v = -v // a gap
			}
			x.real(49, v)
			x.integer(74, 0)
		}
	}
	line(handleLtypeByBlock, "ByBlock", "", nil)
	line(handleLtypeByLayer, "ByLayer", "", nil)
	line(handleLtypeContinuous, "Continuous", "Solid line", nil)
	for _, op := range dashed {
		dash := x.styles[op].Dash
		if len(dash)%2 == 1 {
			dash = slices.Concat(dash, dash) // as SVG reads an odd list
		}
		line(handleLtypes+int(op), x.ltypeName(op), "Line of operation "+op.String(), dash)
	}
	x.endTable()
}

func (x *dxfWriter) layerTable() {
	x.table("LAYER", handleLayerTable, 1+len(x.layers))
	line := func(handle int, name string, colour int, ltype string, weight int) {
		x.record("LAYER", handle, handleLayerTable, "AcDbLayerTableRecord", name)
		x.integer(62, colour)
		x.pair(6, ltype)
		x.integer(370, weight)
		x.handle(390, handlePlotStyle)
	}
	line(handleLayerZero, "0", 7, "Continuous", -3) // -3: the reader's default
	for _, l := range x.layers {
		s := &x.styles[l.op]
		line(l.handle, l.name, aci(s.ACI), x.ltypeName(l.op), lineWeight(s.Width))
	}
	x.endTable()
}
