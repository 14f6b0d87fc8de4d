package openapi_test

import (
	"fmt"
	"reflect"
	"slices"
	"sort"
	"testing"

	"foldwright/openapi"
	"foldwright/solver/design"

	"github.com/getkin/kin-openapi/openapi3"
)

// The tables of the design package decide what a document may hold; the
// contract must say the same of every field. Anything that differs fails here:
// names, what is required, ranges, defaults, choices, kinds.
func TestDesignSchemaMatchesTables(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	w := &walk{t: t}
	w.object("Design", design.DocumentSchema(), doc.Components.Schemas["Design"].Value)

	mechanism := doc.Components.Schemas["Mechanism"].Value
	mapping := mechanism.Discriminator.Mapping
	listed := []string{}
	for _, one := range mechanism.OneOf {
		listed = append(listed, one.Ref)
	}
	for _, k := range design.Kinds() {
		name := string(k.Kind)
		ref, ok := mapping[name]
		if !ok {
			t.Errorf("the contract has no schema for the kind %s", name)
			continue
		}
		if !slices.Contains(listed, ref.Ref) {
			t.Errorf("%s is mapped but not one of the mechanisms", name)
		}
		one := mechanism.OneOf[max(0, slices.Index(listed, ref.Ref))].Value
		w.kind(k, one)
	}
	if len(mapping) != len(design.Kinds()) || len(listed) != len(mapping) {
		t.Errorf("%d kinds, %d mapped, %d listed", len(design.Kinds()), len(mapping), len(listed))
	}
}

type walk struct{ t *testing.T }

func (w *walk) kind(k *design.KindInfo, schema *openapi3.Schema) {
	at := string(k.Kind)
	fields := k.EntrySchema()
	// The contract says more of these three than the tables do: the one kind,
	// the form of an id, and which sort of host.
	for i := range fields {
		property := schema.Properties[fields[i].Name]
		if property == nil {
			continue // reported below
		}
		switch fields[i].Name {
		case "kind":
			if got := property.Value.Enum; !reflect.DeepEqual(got, []any{at}) {
				w.t.Errorf("%s/kind: enum is %v", at, got)
			}
		case "on":
			w.host(at+"/on", k.Stands, fields[i].Fields, property.Value)
		}
	}
	w.object(at, fields, schema, "kind", "on")
}

// host checks a schema that allows only the part of the table that goes with
// where the kind stands.
func (w *walk) host(at string, stands design.Stands, table design.Schema, schema *openapi3.Schema) {
	if stands != design.OnFold && stands != design.OnPanel {
		w.object(at, table, schema)
		return
	}
	want := design.Schema{}
	for _, f := range table {
		if (stands == design.OnPanel) == (f.Name == "panel") {
			f.Required = f.Name == string(stands)
			want = append(want, f)
		}
	}
	w.object(at, want, schema)
}

// object compares the fields of an object; those in except only by name and by
// being required.
func (w *walk) object(at string, table design.Schema, schema *openapi3.Schema, except ...string) {
	w.t.Helper()
	if !schema.Type.Is(openapi3.TypeObject) {
		w.t.Errorf("%s: is not an object", at)
	}
	if schema.AdditionalProperties.Has == nil || *schema.AdditionalProperties.Has {
		w.t.Errorf("%s: allows other fields", at)
	}
	names, required := []string{}, []string{}
	for i := range table {
		f := &table[i]
		names = append(names, f.Name)
		if f.Required {
			required = append(required, f.Name)
		}
		property := schema.Properties[f.Name]
		if property == nil {
			w.t.Errorf("%s: has no field %s", at, f.Name)
			continue
		}
		if !slices.Contains(except, f.Name) {
			w.field(at+"/"+f.Name, f, property.Value)
		}
	}
	for name := range schema.Properties {
		if !slices.Contains(names, name) {
			w.t.Errorf("%s: has a field %s that the table has not", at, name)
		}
	}
	got := append([]string{}, schema.Required...)
	sort.Strings(got)
	sort.Strings(required)
	if !slices.Equal(got, required) {
		w.t.Errorf("%s: requires %v, the table %v", at, got, required)
	}
}

func (w *walk) field(at string, f *design.Field, s *openapi3.Schema) {
	w.t.Helper()
	switch f.Quantity {
	case design.Length, design.Degrees, design.Real:
		w.is(at, s, openapi3.TypeNumber)
		w.same(at+" minimum", deref(s.Min), f.Least())
		w.same(at+" maximum", deref(s.Max), f.Max)
		w.same(at+" default", s.Default, f.Default)
	case design.Text, design.Outline, design.Profile:
		w.is(at, s, openapi3.TypeString)
		w.same(at+" minLength", float64(s.MinLength), f.Min)
		if s.MaxLength == nil {
			w.t.Errorf("%s: has no maxLength", at)
		} else {
			w.same(at+" maxLength", float64(*s.MaxLength), f.Max)
		}
		w.same(at+" default", s.Default, f.Default)
	case design.Choice:
		w.is(at, s, openapi3.TypeString)
		choices := []any{}
		for _, c := range f.Choices {
			choices = append(choices, c)
		}
		w.same(at+" enum", s.Enum, choices)
		// An empty default depends on the rest of the document.
		if f.Default == "" {
			w.same(at+" default", s.Default, nil)
		} else {
			w.same(at+" default", s.Default, f.Default)
		}
	case design.Flag:
		w.is(at, s, openapi3.TypeBoolean)
		w.same(at+" default", s.Default, f.Default)
	case design.Whole:
		w.is(at, s, openapi3.TypeInteger)
		w.same(at+" minimum", deref(s.Min), f.Min)
		w.same(at+" maximum", deref(s.Max), f.Max)
		w.same(at+" default", s.Default, f.Default)
	case design.Points:
		w.is(at, s, openapi3.TypeArray)
		w.same(at+" minItems", float64(s.MinItems), f.Min)
		if s.MaxItems == nil {
			w.t.Errorf("%s: has no maxItems", at)
		} else {
			w.same(at+" maxItems", float64(*s.MaxItems), f.Max)
		}
		pair := s.Items.Value
		w.is(at+"/items", pair, openapi3.TypeArray)
		if pair.MinItems != 2 || pair.MaxItems == nil || *pair.MaxItems != 2 {
			w.t.Errorf("%s: a point is not a pair", at)
		}
		w.is(at+"/items/items", pair.Items.Value, openapi3.TypeNumber)
	case design.Object:
		w.object(at, f.Fields, s)
	case design.List:
		w.is(at, s, openapi3.TypeArray)
		if s.MaxItems == nil {
			w.t.Errorf("%s: has no maxItems", at)
		} else {
			w.same(at+" maxItems", float64(*s.MaxItems), f.Max)
		}
		if len(f.Fields) > 0 {
			w.object(at+"/items", f.Fields, s.Items.Value)
		}
	default:
		w.t.Errorf("%s: the quantity %s is not compared", at, f.Quantity)
	}
}

func (w *walk) is(at string, s *openapi3.Schema, want string) {
	w.t.Helper()
	if !s.Type.Is(want) {
		w.t.Errorf("%s: type is %v, want %s", at, s.Type, want)
	}
}

func (w *walk) same(what string, got, want any) {
	w.t.Helper()
	if !reflect.DeepEqual(got, want) {
		w.t.Errorf("%s is %v in the contract, %v in the table", what, show(got), show(want))
	}
}

func show(v any) string {
	if v == nil {
		return "missing"
	}
	return fmt.Sprint(v)
}

func deref(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}
