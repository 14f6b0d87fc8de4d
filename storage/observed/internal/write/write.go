// Package write writes the watched methods of package observed.
package write

import (
	"bytes"
	"context"
	"fmt"
	"go/format"
	"reflect"
	"slices"
	"strings"

	"foldwright/storage"
)

var (
	contextType = reflect.TypeFor[context.Context]()
	errorType   = reflect.TypeFor[error]()
)

// Watched reports whether a method does work: it takes a context first and
// returns an error last.
func Watched(m reflect.Method) bool {
	t := m.Type
	return t.NumIn() > 0 && t.In(0) == contextType && t.NumOut() > 0 && t.Out(t.NumOut()-1) == errorType
}

// Source is the file of the generated methods.
func Source() ([]byte, error) {
	var methods bytes.Buffer
	packages := map[string]bool{}
	for _, side := range []struct {
		receiver, inner string
		of              reflect.Type
	}{
		{"database", "Database", reflect.TypeFor[storage.Database]()},
		{"store", "Store", reflect.TypeFor[storage.Store]()},
	} {
		for m := range side.of.Methods() {
			if Watched(m) {
				method(&methods, packages, side.receiver, side.inner, m)
			}
		}
	}
	var file bytes.Buffer
	file.WriteString("// Code generated from the interfaces of package storage; DO NOT EDIT.\n\npackage observed\n\nimport (\n")
	paths := []string{}
	for path := range packages {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	for _, path := range paths { // the standard library first
		if !strings.HasPrefix(path, "foldwright/") {
			fmt.Fprintf(&file, "%q\n", path)
		}
	}
	file.WriteString("\n")
	for _, path := range paths {
		if strings.HasPrefix(path, "foldwright/") {
			fmt.Fprintf(&file, "%q\n", path)
		}
	}
	file.WriteString(")\n")
	file.Write(methods.Bytes())
	return format.Source(file.Bytes())
}

func method(to *bytes.Buffer, packages map[string]bool, receiver, inner string, m reflect.Method) {
	var takes, passes, gives []string
	for i := range m.Type.NumIn() {
		name := fmt.Sprintf("in%d", i)
		if i == 0 {
			name = "ctx"
		}
		use(packages, m.Type.In(i))
		takes = append(takes, name+" "+m.Type.In(i).String())
		passes = append(passes, name)
	}
	for i := range m.Type.NumOut() {
		name := fmt.Sprintf("out%d", i)
		if i == m.Type.NumOut()-1 {
			name = "err"
		}
		use(packages, m.Type.Out(i))
		gives = append(gives, name+" "+m.Type.Out(i).String())
	}
	fmt.Fprintf(to, `
func (x *%s) %s(%s) (%s) {
	ctx, end := x.watch(ctx, %q)
	defer func() { end(err) }()
	return x.%s.%s(%s)
}
`, receiver, m.Name, strings.Join(takes, ", "), strings.Join(gives, ", "), m.Name, inner, m.Name, strings.Join(passes, ", "))
}

// use notes the packages a type needs.
func use(packages map[string]bool, t reflect.Type) {
	if t.PkgPath() != "" {
		packages[t.PkgPath()] = true
		return
	}
	switch t.Kind() {
	case reflect.Map:
		use(packages, t.Key())
		use(packages, t.Elem())
	case reflect.Array, reflect.Chan, reflect.Pointer, reflect.Slice:
		use(packages, t.Elem())
	case reflect.Func:
		for in := range t.Ins() {
			use(packages, in)
		}
		for out := range t.Outs() {
			use(packages, out)
		}
	}
}
