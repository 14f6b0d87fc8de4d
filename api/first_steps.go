package api

import "fmt"

// FirstSteps are three lines to try in a shell, which work as they stand at the
// service with this address: check an example, fetch its flat parts, store it.
func FirstSteps(base string) []string {
	return []string{
		fmt.Sprintf("curl -s %s/v1/examples/harbour/check", base),
		fmt.Sprintf("curl -s -o harbour.svg %s/v1/examples/harbour/pattern.svg", base),
		fmt.Sprintf("curl -s %[1]s/v1/examples/harbour | curl -s -H 'Content-Type: application/json' --data-binary @- %[1]s/v1/designs", base),
	}
}
