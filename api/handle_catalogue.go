package api

import (
	"context"

	"foldwright/solver/design"
	"foldwright/solver/finding"
)

// ListMechanisms answers GET /v1/mechanisms.
func (s *Server) ListMechanisms(context.Context, ListMechanismsRequestObject) (ListMechanismsResponseObject, error) {
	out := MechanismCatalogue{Document: parameters(design.DocumentSchema())}
	for _, k := range design.Kinds() {
		out.Kinds = append(out.Kinds, MechanismKind{
			Kind:       string(k.Kind),
			Summary:    k.Summary,
			StandsOn:   MechanismKindStandsOn(k.Stands),
			Panels:     append([]string{}, k.Panels...),
			Folds:      append([]string{}, k.Folds...),
			Drivers:    append([]KindDriver{}, kindDrivers[k.Kind]...),
			Diagram:    diagramPath(k.Kind),
			Example:    diagrams[k.Kind].example,
			Conditions: k.Conditions,
			Parameters: parameters(k.EntrySchema()),
		})
	}
	return ListMechanisms200JSONResponse(out), nil
}

func parameters(s design.Schema) []Parameter {
	list := make([]Parameter, len(s))
	for i := range s {
		list[i] = parameter(&s[i])
	}
	return list
}

func parameter(f *design.Field) Parameter {
	p := Parameter{
		Name: f.Name, Quantity: ParameterQuantity(f.Quantity), Description: f.Doc, Required: f.Required, Default: f.Default,
	}
	unit := func(u ParameterUnit) { p.Unit = &u }
	switch f.Quantity {
	case design.Length:
		unit(ParameterUnitMm)
		p.Minimum, p.Maximum = &f.Min, &f.Max
	case design.Degrees:
		unit(ParameterUnitDeg)
		p.Minimum, p.Maximum = &f.Min, &f.Max
	case design.Real, design.Whole, design.Text, design.Outline, design.Profile, design.Points:
		p.Minimum, p.Maximum = &f.Min, &f.Max
	case design.List:
		p.Maximum = &f.Max
		p.Fields = itemFields(f)
	case design.Choice:
		p.Choices = &f.Choices
		if f.Default == "" {
			p.Default = nil // the choice depends on what is stood on
		}
	case design.Object:
		p.Fields = itemFields(f)
	}
	return p
}

func itemFields(f *design.Field) *[]Parameter {
	if len(f.Fields) == 0 {
		return nil
	}
	fields := parameters(f.Fields)
	return &fields
}

// ListFindings answers GET /v1/findings.
func (s *Server) ListFindings(context.Context, ListFindingsRequestObject) (ListFindingsResponseObject, error) {
	list := []FindingInfo{}
	for _, info := range finding.Catalogue() {
		list = append(list, FindingInfo{
			Code: FindingCode(info.Code), Severity: Severity(info.Severity), Title: info.Title, Explanation: info.Explanation,
			Drawing: findingDrawingPath(info.Code),
		})
	}
	return ListFindings200JSONResponse{Findings: list}, nil
}
