package postgres

import (
	"context"
	"net"
	"sync"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

const (
	// silence is how long the server may say nothing while it is waited for.
	// What the store asks takes milliseconds; a network that has dropped the
	// connection without a word would be believed for many minutes.
	silence = 10 * time.Second
	// pingTimeout bounds trying a connection that was idle before it is used,
	// so that after a cut the dead ones are left for new ones soon.
	pingTimeout = 2 * time.Second
)

// hearSilence makes the connections of a pool give up a server that says nothing.
func hearSilence(config *pgxpool.Config) {
	if config.PingTimeout == 0 {
		config.PingTimeout = pingTimeout
	}
	dial := config.ConnConfig.DialFunc
	config.ConnConfig.DialFunc = func(ctx context.Context, network, address string) (net.Conn, error) {
		conn, err := dial(ctx, network, address)
		if err != nil {
			return nil, err
		}
		return &impatient{Conn: conn}, nil
	}
}

// impatient is a connection on which no reading and no writing waits longer
// than silence, unless a deadline is set, which then holds.
type impatient struct {
	net.Conn
	mu  sync.Mutex
	set bool // a deadline of the driver's
}

func (c *impatient) Read(p []byte) (int, error) {
	if err := c.wait(); err != nil {
		return 0, err
	}
	return c.Conn.Read(p)
}

func (c *impatient) Write(p []byte) (int, error) {
	if err := c.wait(); err != nil {
		return 0, err
	}
	return c.Conn.Write(p)
}

// wait holds the lock while it sets the deadline, so that it does not undo one
// that the driver sets to end what is under way.
func (c *impatient) wait() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.set {
		return nil
	}
	return c.Conn.SetDeadline(time.Now().Add(silence))
}

func (c *impatient) SetDeadline(t time.Time) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.set = !t.IsZero()
	return c.Conn.SetDeadline(t)
}

// SetReadDeadline and SetWriteDeadline are not told apart: the driver sets one
// only to end reading at once, or to take that back.
func (c *impatient) SetReadDeadline(t time.Time) error  { return c.SetDeadline(t) }
func (c *impatient) SetWriteDeadline(t time.Time) error { return c.SetDeadline(t) }

// patienceSQL lets the server end a write transaction when this side says
// nothing in the middle of it: a replica that was cut off would otherwise keep
// its locks, and everyone else waiting, for as long as TCP believes in it.
const patienceSQL = "SET LOCAL idle_in_transaction_session_timeout = '15s'"
