package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"foldwright/api"
)

// stopFlags say how the service ends.
type stopFlags struct {
	DrainDelay      *time.Duration `env:"FOLDWRIGHT_DRAIN_DELAY" help:"How long to report not ready, and still take connections, before shutting down. Default: 5s where others can reach the service, so that a balancer notices; else 0s."`
	ShutdownTimeout time.Duration  `env:"FOLDWRIGHT_SHUTDOWN_TIMEOUT" default:"0s" help:"How long requests may then take to finish, before they are answered 503 or cut off. Default: the longest that reading, waiting and working may take."`
}

// Validate refuses times that are none.
func (f *stopFlags) Validate() error {
	drain := time.Duration(0)
	if f.DrainDelay != nil {
		drain = *f.DrainDelay
	}
	return errors.Join(atLeast("FOLDWRIGHT_DRAIN_DELAY", drain, 0), atLeast("FOLDWRIGHT_SHUTDOWN_TIMEOUT", f.ShutdownTimeout, 0))
}

const (
	// drainDelay is a little more than balancers commonly take to notice.
	drainDelay = 5 * time.Second
	// lingering is how long, once no connection is taken any more, idle ones
	// are kept. A client that sends on one just then would find it closed; so
	// it is answered, and told to close.
	lingering = time.Second
	// lastWords is how long requests that take too long have to be told so.
	lastWords = 2 * time.Second
)

// errShutDown tells requests that there is no more time for them.
var errShutDown = fmt.Errorf("foldwright: %w", api.ErrShuttingDown)

// website is a server that ends without losing what it has begun.
type website struct {
	*http.Server
	listener net.Listener
	open     atomic.Int64 // connections
	abandon  context.CancelCauseFunc
}

// closedOnce may be closed again: by finish first, and by the server, which may
// not have heard of it yet and would report a fault.
type closedOnce struct {
	net.Listener
	close func() error
}

func (l closedOnce) Close() error { return l.close() }

// newWebsite takes over the context and the connections of a server.
func newWebsite(ctx context.Context, server *http.Server, listener net.Listener) *website {
	w := &website{Server: server, listener: closedOnce{listener, sync.OnceValue(listener.Close)}}
	// Requests outlive the context of the program, which ends with the first
	// signal.
	base, abandon := context.WithCancelCause(context.WithoutCancel(ctx))
	w.abandon = abandon
	w.BaseContext = func(net.Listener) context.Context { return base }
	w.ConnState = func(_ net.Conn, state http.ConnState) {
		switch state {
		case http.StateNew:
			w.open.Add(1)
		case http.StateClosed, http.StateHijacked:
			w.open.Add(-1)
		}
	}
	return w
}

// finish takes no more connections, and ends when all are done with. After the
// limit, requests at work are answered that there is no time, and those still
// on their way in or out are cut off.
func (w *website) finish(log *slog.Logger, limit time.Duration) error {
	w.listener.Close()
	for end := time.Now().Add(lingering); w.open.Load() > 0 && time.Now().Before(end); {
		time.Sleep(lingering / 100)
	}
	err := w.shutdown(limit)
	if !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	log.Warn("requests take too long to finish", "connections", w.open.Load(), "limit", limit)
	w.abandon(errShutDown)
	if err := w.shutdown(lastWords); !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	cut := w.open.Load()
	_ = w.Close() // the listener is closed already
	return fmt.Errorf("%d connections were cut off, whose requests did not finish in %v; FOLDWRIGHT_SHUTDOWN_TIMEOUT allows more", cut, limit)
}

func (w *website) shutdown(limit time.Duration) error {
	limited, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	return w.Shutdown(limited)
}

// drainFor is how long to go on taking connections.
func (c *serveCommand) drainFor() time.Duration {
	switch {
	case c.DrainDelay != nil:
		return *c.DrainDelay
	case isLoopback(c.Addr):
		return 0
	default:
		return drainDelay
	}
}

// finishWithin is how long requests may take to finish.
func (c *serveCommand) finishWithin() time.Duration {
	if c.ShutdownTimeout > 0 {
		return c.ShutdownTimeout
	}
	return readTimeout + c.longest()
}
