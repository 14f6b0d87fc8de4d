// Command cmd writes calls.go of package observed, in whose folder it runs.
package main

import (
	"fmt"
	"os"

	"foldwright/storage/observed/internal/write"
)

func main() {
	source, err := write.Source()
	if err == nil {
		err = os.WriteFile("calls.go", source, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
