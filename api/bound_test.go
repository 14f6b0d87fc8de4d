package api

import (
	"maps"
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
)

const (
	// boundTime is little: whether a value on a bound is refused is told before the
	// solver has done its work.
	boundTime = 50 * time.Millisecond
	// boundDesigns is of how many bounds of a design one is tried in operations
	// that read it as all others do.
	boundDesigns = 100
	boundShort   = 20 // of how many bounds one is tried where time is short
)

// wholeDesigns are the operations in which every bound of a design is tried: one
// that takes a design by itself and one that takes it beside options.
var wholeDesigns = []string{"createDesign", "check"}

// boundLog counts what was tried.
type boundLog struct{ broken, kept atomic.Int64 }

// TestBoundsOfTheContract breaks each bound of the contract by as little as can
// be, everything else being as it is allowed, and wants to be told where and
// what is allowed; and it sends what lies on the bound, which must be taken.
func TestBoundsOfTheContract(t *testing.T) {
	h := newHarbour(t, Config{})
	log := &boundLog{}
	keepers := map[*openapi3.Parameter]*operation{}
	var mooring sync.Mutex
	t.Run("operations", func(t *testing.T) {
		for at, key := range slices.Sorted(maps.Keys(h.operations)) {
			op := h.operations[key]
			w := &walker{harbour: h, op: op, mooring: &mooring, values: values{rand.New(rand.NewPCG(1, uint64(at)))}}
			w.keep(keepers)
			t.Run(op.route.Operation.OperationID, func(t *testing.T) {
				t.Parallel()
				w.moor(t)
				b, unknown := w.unknownParameter()
				b.breaks(t, unknown)
				met := 0
				for _, b := range w.boundaries(t) {
					b.keeper = b.parameter == nil && b.job == "" && !b.patch || keepers[b.parameter] == op
					b.try(t, &met, log)
				}
			})
		}
	})
	t.Logf("%d bounds broken, %d kept", log.broken.Load(), log.kept.Load())
	if log.broken.Load() == 0 || log.kept.Load() == 0 {
		t.Error("nothing was tried")
	}
	if testing.Short() { // in which few are met
		return
	}
	for _, e := range boundExceptions {
		if !e.used.Load() {
			t.Errorf("nothing is excepted any more by %v", e.where)
		}
	}
}

// keep makes the operation that which keeps the bounds of those of its
// parameters that none before it has.
func (w *walker) keep(keepers map[*openapi3.Parameter]*operation) {
	for _, in := range parameterPlaces {
		for _, p := range w.parameters(in) {
			if keepers[p] == nil {
				keepers[p] = w.op
			}
		}
	}
}

// try tries the bounds of a boundary; met counts those of an operation.
func (b *boundary) try(t *testing.T, met *int, log *boundLog) {
	t.Helper()
	f := &finder{t: t, values: b.values, stands: b.stands, inBody: b.parameter == nil, design: b.operations.named(t, "replaceDesign").media().Schema.Value}
	f.find(b.schema, nil)
	f.findMissing(b)
	for i := range f.bounds {
		one := &f.bounds[i]
		*met++
		if *met%b.every(one) != 0 || b.patch && one.absent() {
			continue
		}
		b.breaks(t, one)
		log.broken.Add(1)
		if one.kept != nil && b.keeper && (!one.inDesign || b.name() == wholeDesigns[0]) {
			b.keeps(t, one)
			log.kept.Add(1)
		}
	}
}

// every is of how many bounds one is tried.
func (b *boundary) every(one *bound) int {
	n := 1
	if one.inDesign && !slices.Contains(wholeDesigns, b.name()) {
		n *= boundDesigns
	}
	if testing.Short() {
		n *= boundShort
	}
	return n
}

func (b *boundary) name() string { return b.op.route.Operation.OperationID }
