package api

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"net/http"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"
)

// The walk sends generated requests to every operation of the contract, good
// ones and broken ones, in every role, and holds each answer to the contract.
// A run is repeated with FOLDWRIGHT_WALK_SEED and made longer with
// FOLDWRIGHT_WALK_REQUESTS, the number for each operation.
const (
	walkSeed     = 1
	walkRequests = 30
	walkShort    = 4
	// walkTime is little, so that the answer for work that takes too long is
	// among those that are looked at.
	walkTime = time.Second
	// walkHangs is long after an answer must have come, on any machine.
	walkHangs = time.Minute
	// walkBerth is how many requests change things of the same berth.
	walkBerth = 10
)

func walkSetting(t *testing.T, name string, usual int) int {
	t.Helper()
	n, err := strconv.Atoi(cmp.Or(os.Getenv(name), strconv.Itoa(usual)))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

func TestWalkOfTheContract(t *testing.T) {
	seed := walkSetting(t, "FOLDWRIGHT_WALK_SEED", walkSeed)
	requests := walkSetting(t, "FOLDWRIGHT_WALK_REQUESTS", walkRequests)
	if testing.Short() { // as where races are looked for, at many times the cost
		requests = min(requests, walkShort)
	}
	h := newHarbour(t, Config{RequestTimeout: walkTime})
	h.otherDesign = h.berth(t).token
	log := &walkLog{statuses: map[int]int{}}
	var mooring sync.Mutex
	t.Run("operations", func(t *testing.T) {
		for at, key := range slices.Sorted(maps.Keys(h.operations)) {
			op := h.operations[key]
			t.Run(op.route.Operation.OperationID, func(t *testing.T) {
				t.Parallel()
				w := &walker{harbour: h, op: op, mooring: &mooring, values: values{rand.New(rand.NewPCG(uint64(seed), uint64(at)))}}
				for n := range requests {
					if n == 0 || op.route.Method != http.MethodGet && n%walkBerth == 0 {
						w.moor(t)
					}
					q := w.request(t)
					log.add(q.sent(t, h).judged(t))
				}
			})
		}
	})
	log.tell(t)
}

// walkLog counts what was answered.
type walkLog struct {
	mu       sync.Mutex
	statuses map[int]int
	late     []*walkAnswer // longer than a request may take, and some
}

func (l *walkLog) add(a *walkAnswer) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.statuses[a.w.Code]++
	if a.took > 2*walkTime {
		l.late = append(l.late, a)
	}
}

func (l *walkLog) tell(t *testing.T) {
	t.Helper()
	all := 0
	for _, status := range slices.Sorted(maps.Keys(l.statuses)) {
		t.Logf("%d: %d", status, l.statuses[status])
		all += l.statuses[status]
	}
	t.Logf("%d requests", all)
	for _, a := range l.late {
		t.Logf("late, %v: %s", a.took.Round(time.Millisecond), a.told())
	}
	if l.statuses[http.StatusOK] < all/10 || l.statuses[http.StatusUnprocessableEntity] == 0 || l.statuses[http.StatusBadRequest] == 0 {
		t.Error("the requests are all good or all bad: such a walk shows nothing")
	}
}
