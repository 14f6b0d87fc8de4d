// Package faults holds a small design for each thing a check can find: one that
// breaks that rule. They are the drawings of the catalogue and rows of tests.
package faults

import (
	"embed"
	"strings"
)

//go:embed *.json
var files embed.FS

const suffix = ".json"

// Codes lists what there is a design for, sorted.
func Codes() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic("faults: the embedded folder cannot be read: " + err.Error()) // it is part of the program
	}
	codes := make([]string, len(entries))
	for i, e := range entries {
		codes[i] = strings.TrimSuffix(e.Name(), suffix)
	}
	return codes
}

// Read gives the design that breaks a rule; false when there is none.
func Read(code string) ([]byte, bool) {
	data, err := files.ReadFile(code + suffix)
	return data, err == nil
}
