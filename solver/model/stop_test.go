package model

import (
	"bytes"
	"errors"
	"testing"

	"foldwright/solver/kinematics"
)

// Whenever it is told to stop it does, without asking more or writing anything;
// told nothing it asks for every opening and every node.
func TestStop(t *testing.T) {
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		asked := 0
		write(t, a, Options{Stop: func() bool { asked++; return false }})
		most := asked
		if least := samples - 1 + len(a.Panels); most < least {
			t.Errorf("asked %d times, want at least %d", most, least)
		}
		for _, at := range []int{1, 2, most / 2, most} {
			asked = 0
			var out bytes.Buffer
			err := WriteGLB(&out, a, Options{Stop: func() bool { asked++; return asked >= at }})
			if !errors.Is(err, ErrStopped) || out.Len() > 0 || asked != at {
				t.Fatalf("told to stop at question %d: %v, %d bytes, asked %d", at, err, out.Len(), asked)
			}
		}
	})
}
