package guide

import (
	"testing"

	"foldwright/solver/internal/proptest"
)

func TestMain(m *testing.M) { proptest.Main(m) }
