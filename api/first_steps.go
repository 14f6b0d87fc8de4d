package api

import "fmt"

// FirstSteps are three lines to try in a shell, which work as they stand at the
// service with this address: check an example, fetch its flat parts, store it.
// Where keys are required the last takes one from the environment.
func FirstSteps(base string, keysRequired bool) []string {
	key := ""
	if keysRequired {
		key = ` -H "Authorization: Bearer $FOLDWRIGHT_KEY"`
	}
	return []string{
		fmt.Sprintf("curl -s %s/v1/examples/harbour/check", base),
		fmt.Sprintf("curl -s -o harbour.svg %s/v1/examples/harbour/pattern.svg", base),
		fmt.Sprintf("curl -s %[1]s/v1/examples/harbour | curl -s%[2]s -H 'Content-Type: application/json' --data-binary @- %[1]s/v1/designs", base, key),
	}
}
