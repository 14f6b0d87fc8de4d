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

// builtAs is set by builds that have no repository at hand, as in a container:
//
//	go build -ldflags '-X main.builtAs=RELEASE'
var builtAs string

// release is what was built, as the build or the Go tool recorded it.
func release() string {
	if builtAs != "" {
		return builtAs
	}
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
