package api

import (
	"errors"
	"slices"
	"strings"

	"foldwright/solver/draw"
)

// styleTable is the styles a finished drawing is asked to have; nil is the
// default. The option it comes from is "style".
func styleTable(asked *DrawingStyle, finish *draw.Finish) (draw.StyleTable, error) {
	if asked == nil {
		asked = &DrawingStyle{}
	}
	name := string(Default)
	fill(&name, (*string)(asked.Base))
	base, known := draw.NamedStyles(name)
	if !known {
		return base, &optionFault{"style/base", NotAllowed, "must be one of " + strings.Join(draw.StyleNames(), ", ")}
	}
	changes := map[string]draw.StyleChange{}
	for op, line := range map[draw.Operation]*LineStyle{
		draw.Cut: asked.Cut, draw.ScoreMountain: asked.ScoreMountain, draw.ScoreValley: asked.ScoreValley, draw.Perforate: asked.Perforate,
		draw.Glue: asked.Glue, draw.Print: asked.Print, draw.Label: asked.Label, draw.Registration: asked.Registration,
	} {
		if line != nil {
			changes[op.String()] = draw.StyleChange{Layer: line.Layer, Color: line.Color, Dash: line.Dash, Width: line.Width, ACI: line.ColorIndex}
		}
	}
	table, err := draw.ParseStyles(base, changes)
	if faults := (draw.StyleErrors)(nil); errors.As(err, &faults) {
		return base, styleRefused(faults)
	}
	return finish.Styles(table), err
}

// styleRefused is every fault of a style table.
func styleRefused(faults draw.StyleErrors) optionFaults {
	list := make(optionFaults, len(faults))
	for i, f := range faults {
		list[i] = &optionFault{"style" + f.Pointer(), styleCodes[f.Code], f.Detail}
	}
	return list
}

var styleCodes = map[draw.StyleCode]FieldErrorCode{
	draw.UnknownOperation: UnknownField,
	draw.BadLayerName:     BadFormat,
	draw.BadColor:         BadFormat,
	draw.BadDash:          OutOfRange,
	draw.BadWidth:         OutOfRange,
	draw.BadColorIndex:    OutOfRange,
}

// shownLayers is the operations a drawing is asked to show; nil is all.
func shownLayers(asked *DrawingLayers) ([]draw.Operation, error) {
	if asked == nil {
		return nil, nil
	}
	var list []draw.Operation
	for _, name := range *asked {
		op, known := draw.ParseOperation(string(name))
		if !known || slices.Contains(list, op) {
			return nil, &optionFault{"layers", NotAllowed, "must be different names of operations"}
		}
		list = append(list, op)
	}
	return list, nil
}
