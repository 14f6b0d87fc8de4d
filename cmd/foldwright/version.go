package main

import (
	"fmt"
	"runtime/debug"
)

type versionCommand struct{}

// Run tells the release.
func (versionCommand) Run(to streams) error {
	fmt.Fprintln(to.out, "foldwright", release())
	return nil
}

// release is what was built, as the Go tool recorded it.
func release() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "development"
	}
	const shortHash = 12
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			return s.Value[:min(shortHash, len(s.Value))]
		}
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	return "development"
}
