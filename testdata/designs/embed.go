// Package designs holds the example designs that come with the service.
package designs

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed *.json
var files embed.FS

const suffix = ".json"

// Names lists the examples, sorted.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(fmt.Sprintf("designs: the embedded folder cannot be read: %v", err)) // it is part of the program
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), suffix)
	}
	return names
}

// Read gives the document of an example; false when there is none.
func Read(name string) ([]byte, bool) {
	data, err := files.ReadFile(name + suffix)
	return data, err == nil
}
