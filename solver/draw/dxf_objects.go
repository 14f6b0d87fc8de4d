package draw

import "foldwright/solver/geom"

func (x *dxfWriter) object(kind string, handle, owner int) {
	x.pair(0, kind)
	x.handle(5, handle)
	x.handle(330, owner)
}

type dictEntry struct {
	name   string
	handle int
}

func (x *dxfWriter) dictionary(handle, owner int, entries ...dictEntry) {
	x.object("DICTIONARY", handle, owner)
	x.pair(100, "AcDbDictionary")
	x.integer(281, 1) // keep the first of two equal names when merged
	for _, e := range entries {
		x.pair(3, e.name)
		x.handle(350, e.handle)
	}
}

// objects writes the named dictionaries that release 2000 expects of a whole
// file: groups, layouts, multiline styles and plot styles.
func (x *dxfWriter) objects(d *Drawing) {
	x.section("OBJECTS")
	x.dictionary(handleRootDict, 0,
		dictEntry{"ACAD_GROUP", handleGroupDict},
		dictEntry{"ACAD_LAYOUT", handleLayoutDict},
		dictEntry{"ACAD_MLINESTYLE", handleMlineDict},
		dictEntry{"ACAD_PLOTSTYLENAME", handlePlotStyleDict})
	x.dictionary(handleGroupDict, handleRootDict)
	x.dictionary(handleLayoutDict, handleRootDict,
		dictEntry{"Model", handleModelLayout}, dictEntry{"Layout1", handlePaperLayout})
	x.dictionary(handleMlineDict, handleRootDict, dictEntry{"Standard", handleMline})

	x.object("ACDBDICTIONARYWDFLT", handlePlotStyleDict, handleRootDict)
	x.pair(100, "AcDbDictionary")
	x.integer(281, 1)
	x.pair(3, "Normal")
	x.handle(350, handlePlotStyle)
	x.pair(100, "AcDbDictionaryWithDefault")
	x.handle(340, handlePlotStyle)
	x.object("ACDBPLACEHOLDER", handlePlotStyle, handlePlotStyleDict)

	x.object("MLINESTYLE", handleMline, handleMlineDict)
	x.pair(100, "AcDbMlineStyle")
	x.pair(2, "Standard")
	x.integer(70, 0)
	x.pair(3, "")
	x.integer(62, 256)
	x.real(51, 90)
	x.real(52, 90)
	x.integer(71, 2)
	for _, offset := range []float64{0.5, -0.5} {
		x.real(49, offset)
		x.integer(62, 256)
		x.pair(6, "BYLAYER")
	}

	x.layout("Model", handleModelLayout, handleModelSpace, 0, d.Box)
	x.layout("Layout1", handlePaperLayout, handlePaperSpace, 1, d.Box)
	x.endSection()
}

func (x *dxfWriter) layout(name string, handle, block, order int, box geom.Box2) {
	x.object("LAYOUT", handle, handleLayoutDict)
	x.pair(100, "AcDbPlotSettings")
	x.pair(1, "")
	x.pair(2, "none_device")
	x.pair(4, "")
	x.pair(6, "")
	for code := 40; code <= 43; code++ { // margins
		x.real(code, 0)
	}
	x.real(44, box.Size().X)
	x.real(45, box.Size().Y)
	for code := 46; code <= 49; code++ { // origin and window
		x.real(code, 0)
	}
	x.real(140, 0)
	x.real(141, 0)
	x.real(142, 1) // one millimetre of paper for
	x.real(143, 1) // one unit of drawing
	flags := 688   // release 2000's usual plot flags
	if order == 0 {
		flags |= 1024 // the model tab
	}
	x.integer(70, flags)
	x.integer(72, 1) // millimetres
	x.integer(73, 0)
	x.integer(74, 1) // plot the extents
	x.pair(7, "")
	x.integer(75, 16) // scale 1:1
	x.real(147, 1)
	x.real(148, 0)
	x.real(149, 0)
	x.pair(100, "AcDbLayout")
	x.pair(1, name)
	x.integer(70, 1)
	x.integer(71, order)
	x.point2(10, box.Min)
	x.point2(11, box.Max)
	x.point(12, geom.Vec2{})
	x.point(14, box.Min)
	x.point(15, box.Max)
	x.real(146, 0)
	x.point(13, geom.Vec2{})
	x.point(16, geom.Vec2{X: 1})
	x.point(17, geom.Vec2{Y: 1})
	x.integer(76, 0)
	x.handle(330, block)
}
