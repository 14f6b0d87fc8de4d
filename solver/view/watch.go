package view

import "errors"

var (
	// ErrStopped is what drawing ends with when Options.Stop says so.
	ErrStopped = errors.New("view: stopped before the picture was done")
	// ErrTangled is what drawing ends with when a scene needs more pieces than
	// maxFragments, or a drawing more than maxPainted.
	ErrTangled = errors.New("view: too many panels run through one another to be drawn")
)

// maxFragments bounds the pieces the faces of one picture are split into, and
// so its memory. Panels of a design that works touch at folds and split little;
// 200 V-folds through one another make a third of it.
const maxFragments = 60_000

// maxPainted bounds the pieces of all pictures of one drawing, which are held
// together to find their common scale.
const maxPainted = 150_000

// watch ends drawing early. Loops whose length grows faster than the design ask
// it; once it has halted them, what they leave is not to be used.
type watch struct {
	stop    func() bool // nil: never
	painted int
	err     error
}

// paint counts pieces that will be painted.
func (w *watch) paint(pieces int) {
	if w.painted += pieces; w.painted > maxPainted && w.err == nil {
		w.err = ErrTangled
	}
}

func (w *watch) halted() bool {
	if w.err == nil && w.stop != nil && w.stop() {
		w.err = ErrStopped
	}
	return w.err != nil
}
