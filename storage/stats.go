package storage

import "time"

// Stats counts a backend's database connections.
type Stats struct {
	Max    int // the most that may be open
	Open   int
	InUse  int
	Idle   int
	Waits  int64         // calls that had to wait for a connection, since the start
	Waited time.Duration // time spent on those waits, since the start
}
