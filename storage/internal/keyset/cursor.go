package keyset

import (
	"encoding/base64"
	"encoding/binary"
	"hash/fnv"
	"math"
	"slices"
	"strings"
	"time"

	"foldwright/storage"
)

// format is the first byte of every cursor, so that a later form can tell
// cursors that clients still hold from its own.
const format = 1

var encoding = base64.RawURLEncoding.Strict()

// End is where a page of jobs or deliveries, or of designs sorted by a time, ended.
// The zero ID with the farthest time stands before the first.
type End struct {
	CreatedAt time.Time // or what else they are sorted by
	ID        string
}

// AfterJob returns the cursor of the page that follows j in a workspace's list.
func AfterJob(workspace string, j storage.Job) string {
	return after(jobMark(workspace), End{j.CreatedAt, j.ID})
}

// Jobs reads a cursor of a workspace's jobs.
func Jobs(workspace, cursor string) (End, error) { return end(jobMark(workspace), cursor) }

// AfterDelivery returns the cursor of the page that follows d in its hook's list.
func AfterDelivery(d storage.Delivery) string {
	return after(deliveryMark(d.HookID), End{d.Event.At, d.Event.ID})
}

// Deliveries reads a cursor of a hook's deliveries.
func Deliveries(hookID, cursor string) (End, error) { return end(deliveryMark(hookID), cursor) }

func after(mark uint64, e End) string {
	b := binary.BigEndian.AppendUint64(header(mark), uint64(e.CreatedAt.UnixMicro()))
	return encoding.EncodeToString(append(b, e.ID...))
}

func end(mark uint64, cursor string) (End, error) {
	if cursor == "" {
		// Microseconds at the limit are the year 294247, which Postgres can
		// still hold; nothing was created later.
		return End{CreatedAt: time.UnixMicro(math.MaxInt64).UTC()}, nil
	}
	rest, err := body(cursor, mark)
	if err != nil || len(rest) <= 8 {
		return End{}, storage.ErrBadCursor
	}
	micros, id := binary.BigEndian.Uint64(rest), string(rest[8:])
	if micros > math.MaxInt64 || !storage.ValidText(id) {
		return End{}, storage.ErrBadCursor
	}
	return End{CreatedAt: time.UnixMicro(int64(micros)).UTC(), ID: id}, nil
}

// AfterVersion returns the cursor of the page that follows version n of a design.
func AfterVersion(id string, n int) string {
	return encoding.EncodeToString(binary.BigEndian.AppendUint64(header(versionMark(id)), uint64(n)))
}

// Versions reads a cursor of a design's versions: the page holds numbers
// below the one returned.
func Versions(id, cursor string) (below int, err error) {
	if cursor == "" {
		return math.MaxInt, nil
	}
	rest, err := body(cursor, versionMark(id))
	if err != nil || len(rest) != 8 {
		return 0, storage.ErrBadCursor
	}
	n := binary.BigEndian.Uint64(rest)
	if n > math.MaxInt {
		return 0, storage.ErrBadCursor
	}
	return int(n), nil
}

// Limit brings the limit of a query into what a page may hold.
func Limit(limit int) int {
	if limit < 1 {
		return storage.DefaultLimit
	}
	return min(limit, storage.MaxLimit)
}

func header(mark uint64) []byte {
	return binary.BigEndian.AppendUint64([]byte{format}, mark)
}

func body(cursor string, mark uint64) ([]byte, error) {
	b, err := encoding.DecodeString(cursor)
	// The decoder passes over line breaks; encoding again does not.
	if err != nil || encoding.EncodeToString(b) != cursor || len(b) < 9 || b[0] != format || binary.BigEndian.Uint64(b[1:]) != mark {
		return nil, storage.ErrBadCursor
	}
	return b[9:], nil
}

func designMark(q storage.Query) uint64 {
	state := "live"
	if q.Deleted {
		state = "deleted"
	}
	since := ""
	if !q.Since.IsZero() {
		since = q.Since.UTC().Format(time.RFC3339Nano)
	}
	parts := slices.Concat([]string{"designs", state, since, q.Label, strings.Join(q.Words(), " ")}, q.Tags)
	if q.Sort != "" && q.Sort != storage.NewestFirst { // which clients hold cursors of from before there were others
		parts = append(parts, "sorted", string(q.Sort))
	}
	return mark(parts...)
}

func jobMark(workspace string) uint64 { return mark("jobs", workspace) }

func deliveryMark(hookID string) uint64 { return mark("deliveries", hookID) }

func versionMark(id string) uint64 { return mark("versions", id) }

// mark only guards against mistakes: a forged cursor reveals no more than the
// list itself does, so it need not be secret.
func mark(parts ...string) uint64 {
	h := fnv.New64a()
	for _, part := range parts {
		var size [8]byte
		binary.BigEndian.PutUint64(size[:], uint64(len(part)))
		h.Write(size[:])
		h.Write([]byte(part))
	}
	return h.Sum64()
}
