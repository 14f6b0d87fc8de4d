// Package proptest makes property tests repeatable: what passes once passes
// again, so that a failure is the fault of the change that brought it.
package proptest

import (
	"flag"
	"os"
	"testing"
)

// seed is where drawing starts unless -rapid.seed says otherwise. To look
// further afield: go test -rapid.seed=$RANDOM -rapid.checks=1000.
const seed = "1"

// Main is a TestMain under which properties draw the same examples every time.
func Main(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.seed"); f != nil && f.Value.String() == "0" {
		if err := f.Value.Set(seed); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
