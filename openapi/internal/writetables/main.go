// Command writetables writes what the tables of the solver decide into
// openapi.yaml, between its two marks: the schemas of the mechanism kinds and
// the codes of findings. Run it with go generate; tests compare the result with
// the tables in their own way.
package main

import (
	"bytes"
	"fmt"
	"log"
	"os"
	"strconv"
	"strings"

	"foldwright/solver/design"
	"foldwright/solver/finding"
	"foldwright/solver/pattern"
)

const (
	document  = "openapi.yaml"
	beginMark = "    # From here to the next mark: written by go generate from the solver's tables.\n"
	endMark   = "    # End of what go generate writes.\n"
)

func main() {
	log.SetFlags(0)
	old, err := os.ReadFile(document)
	if err != nil {
		log.Fatal(err)
	}
	begin, end := bytes.Index(old, []byte(beginMark)), bytes.Index(old, []byte(endMark))
	if begin < 0 || end < begin {
		log.Fatalf("%s: the marks around what is written are missing", document)
	}
	var out bytes.Buffer
	out.Write(old[:begin+len(beginMark)])
	w := &writer{out: &out, named: map[*design.Field]string{}}
	w.mechanism()
	for _, k := range design.Kinds() {
		w.kind(k)
	}
	w.rest()
	w.codes()
	out.Write(old[end:])
	if bytes.Equal(out.Bytes(), old) {
		return
	}
	if err := os.WriteFile(document, out.Bytes(), 0o644); err != nil {
		log.Fatal(err)
	}
}

// writer writes components. Objects within objects become components of their
// own; fields that share a table share one.
type writer struct {
	out     *bytes.Buffer
	named   map[*design.Field]string // by the first field of the table
	waiting []component
}

type component struct {
	name, doc string
	fields    design.Schema
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w.out, format+"\n", args...) }

func (w *writer) mechanism() {
	w.line("    Mechanism:")
	w.line("      description: One entry of a design; `kind` decides which fields it has.")
	w.line("      oneOf:")
	for _, k := range design.Kinds() {
		w.line("        - $ref: '#/components/schemas/%s'", camel(string(k.Kind)))
	}
	w.line("      discriminator:")
	w.line("        propertyName: kind")
	w.line("        mapping:")
	for _, k := range design.Kinds() {
		w.line("          %s: '#/components/schemas/%s'", k.Kind, camel(string(k.Kind)))
	}
}

func (w *writer) kind(k *design.KindInfo) {
	name := camel(string(k.Kind))
	w.open(name, append([]string{k.Summary}, k.Conditions...), k.EntrySchema())
	for _, f := range k.EntrySchema() {
		switch f.Name {
		case "id":
			w.line("        id: {$ref: '#/components/schemas/MechanismId'}")
		case "kind":
			w.line("        kind: {type: string, enum: [%s]}", k.Kind)
		case "on":
			w.line("        'on': {$ref: '#/components/schemas/On%s'}", camel(string(k.Stands)))
		default:
			w.field(name, k.EntrySchema(), &f)
		}
	}
}

// rest writes the components that came up on the way.
func (w *writer) rest() {
	for len(w.waiting) > 0 {
		c := w.waiting[0]
		w.waiting = w.waiting[1:]
		w.open(c.name, []string{sentence(c.doc)}, c.fields)
		for i := range c.fields {
			w.field(c.name, c.fields, &c.fields[i])
		}
	}
}

// codes writes what findings and pattern problems can be.
func (w *writer) codes() {
	w.line("    FindingCode:")
	w.line("      type: string")
	w.line("      description: What was found; explained by `GET /v1/findings`. The list grows.")
	w.line("      enum:")
	for _, info := range finding.Catalogue() {
		w.line("        - %s", info.Code)
	}
	w.line("    PatternProblemCode:")
	w.line("      type: string")
	w.line("      description: What could not be made. The list grows.")
	w.line("      enum:")
	for _, code := range pattern.Codes() {
		w.line("        - %s", code)
	}
}

// open begins an object, up to its first property.
func (w *writer) open(name string, doc []string, fields design.Schema) {
	w.line("    %s:", name)
	w.line("      type: object")
	w.line("      description: %s", quote(strings.Join(doc, " ")))
	w.line("      additionalProperties: false")
	required := []string{}
	for _, f := range fields {
		if f.Required {
			required = append(required, key(f.Name))
		}
	}
	if len(required) > 0 {
		w.line("      required: [%s]", strings.Join(required, ", "))
	}
	w.line("      properties:")
}

func (w *writer) field(parent string, siblings design.Schema, f *design.Field) {
	name := key(f.Name)
	doc := sentence(f.Doc)
	switch f.Quantity {
	case design.Length, design.Degrees, design.Real:
		if unit := units[f.Quantity]; unit != "" {
			doc = strings.TrimSuffix(doc, ".") + " (" + unit + ")."
		}
		if f.Least() != f.Min {
			doc += fmt.Sprintf(" At least %s mm.", number(f.Min))
		}
		w.line("        %s: {type: number, format: double, minimum: %s, maximum: %s%s, description: %s}",
			name, number(f.Least()), number(f.Max), value(f.Default), quote(doc))
	case design.Text, design.Outline, design.Profile:
		w.line("        %s: {type: string, minLength: %s, maxLength: %s%s, description: %s}",
			name, number(f.Min), number(f.Max), value(f.Default), quote(doc))
	case design.Choice:
		def := value(f.Default)
		if f.Default == "" { // decided by the rest of the document
			def = ""
		}
		w.line("        %s: {type: string, enum: [%s]%s, description: %s}", name, strings.Join(f.Choices, ", "), def, quote(doc))
	case design.Flag:
		w.line("        %s: {type: boolean%s, description: %s}", name, value(f.Default), quote(doc))
	case design.Whole:
		w.line("        %s: {type: integer, minimum: %s, maximum: %s%s, description: %s}",
			name, number(f.Min), number(f.Max), value(f.Default), quote(doc))
	case design.Points:
		w.line("        %s:", name)
		w.line("          type: array")
		w.line("          minItems: %s", number(f.Min))
		w.line("          maxItems: %s", number(f.Max))
		w.line("          description: %s", quote(doc))
		w.line("          items: {$ref: '#/components/schemas/Point2'}")
	case design.Object:
		w.line("        %s: {$ref: '#/components/schemas/%s'}", name, w.component(parent, siblings, f))
	case design.List:
		w.line("        %s:", name)
		w.line("          type: array")
		w.line("          maxItems: %s", number(f.Max))
		w.line("          description: %s", quote(doc))
		if len(f.Fields) > 0 {
			w.line("          items: {$ref: '#/components/schemas/%s'}", w.component(parent, siblings, f))
		} else {
			w.line("          items: {}")
		}
	default:
		log.Fatalf("%s: the quantity %s has no schema", f.Name, f.Quantity)
	}
}

// component is the name of the component that holds an object's fields.
func (w *writer) component(parent string, siblings design.Schema, f *design.Field) string {
	table := &f.Fields[0]
	if name, ok := w.named[table]; ok {
		return name
	}
	shared := []string{}
	for i := range siblings {
		if len(siblings[i].Fields) > 0 && &siblings[i].Fields[0] == table {
			shared = append(shared, siblings[i].Name)
		}
	}
	name, doc := parent+camel(f.Name), f.Doc
	switch {
	case f.Name == "joint": // the same of every kind
		name = "Joint"
	case len(shared) > 1:
		name, doc = parent+"Side", "one side: "+strings.Join(shared, " or ")
	}
	w.named[table] = name
	w.waiting = append(w.waiting, component{name, doc, f.Fields})
	return name
}

var units = map[design.Quantity]string{design.Length: "length", design.Degrees: "degrees"}

// key quotes the one field name that YAML readers of old take for a truth value.
func key(name string) string {
	if name == "on" {
		return "'on'"
	}
	return name
}

func value(def any) string {
	switch v := def.(type) {
	case nil:
		return ""
	case float64:
		return ", default: " + number(v)
	case bool:
		return ", default: " + strconv.FormatBool(v)
	default:
		return ", default: " + quote(fmt.Sprint(v))
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func quote(s string) string { return "'" + strings.ReplaceAll(s, "'", "''") + "'" }

// sentence makes a field's words a sentence.
func sentence(doc string) string {
	if doc == "" {
		return ""
	}
	return strings.ToUpper(doc[:1]) + doc[1:] + "."
}

func camel(snake string) string {
	var name strings.Builder
	for word := range strings.SplitSeq(snake, "_") {
		if word != "" {
			name.WriteString(strings.ToUpper(word[:1]) + word[1:])
		}
	}
	return name.String()
}
