package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"foldwright/api"
	"foldwright/storage"
	"foldwright/storage/access"

	"github.com/prometheus/client_golang/prometheus"
)

type serveCommand struct {
	storeFlags
	Addr      string     `env:"FOLDWRIGHT_ADDR" default:"127.0.0.1:8080" help:"Address to listen on."`
	LogFormat string     `env:"FOLDWRIGHT_LOG_FORMAT" enum:"text,json" default:"text" help:"Form of the log, text or json."`
	LogLevel  slog.Level `env:"FOLDWRIGHT_LOG_LEVEL" default:"info" help:"Least level that is logged: debug, info, warn, error."`
	limitFlags
	RequireKeys    bool           `env:"FOLDWRIGHT_REQUIRE_KEYS" help:"Ask for a key even where only this machine can reach the service. Elsewhere it always does."`
	Origins        []string       `env:"FOLDWRIGHT_ORIGINS" placeholder:"ORIGIN" help:"Origins whose pages may use any key. Those of browser keys need not be named."`
	TrustedProxies []netip.Prefix `env:"FOLDWRIGHT_TRUSTED_PROXIES" placeholder:"CIDR" help:"Networks of the proxies that are believed when they tell a client's address in X-Forwarded-For."`
	stopFlags
}

// Validate is asked by the command line.
func (c *serveCommand) Validate() error {
	return errors.Join(c.limitFlags.Validate(), c.stopFlags.Validate())
}

// Limits on what one connection may take. Writing begins after reading, and
// leaves room for waiting and the longest work in between.
const (
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 20 * time.Second
	writeTimeout      = 35 * time.Second
	idleTimeout       = 2 * time.Minute
	maxHeaderBytes    = 64 << 10
)

// Run serves until the context is done, then finishes the requests under way.
func (c *serveCommand) Run(ctx context.Context, to streams) error {
	log := slog.New(c.logHandler(to.err))
	for _, origin := range c.Origins {
		if err := access.CheckOrigin(origin); err != nil {
			return fmt.Errorf("FOLDWRIGHT_ORIGINS: %q: %w", origin, err)
		}
	}
	store, err := c.open(ctx, storage.Options{Quota: c.quota(), JobRetention: c.JobRetention, DeletedRetention: c.DeletedRetention})
	if err != nil {
		return err
	}
	return errors.Join(c.serve(ctx, to.out, log, store), store.Close())
}

func (c *serveCommand) logHandler(w io.Writer) slog.Handler {
	options := &slog.HandlerOptions{Level: c.LogLevel}
	if c.LogFormat == "json" {
		return slog.NewJSONHandler(w, options)
	}
	return slog.NewTextHandler(w, options)
}

func (c *serveCommand) serve(ctx context.Context, out io.Writer, log *slog.Logger, store storage.Backend) error {
	required, err := c.keysRequired(ctx, store)
	if err != nil {
		return err
	}
	config := api.Config{
		Store: store, Log: log, Release: release(),
		KeysRequired: required, Origins: c.Origins, TrustedProxies: c.TrustedProxies,
	}
	c.apply(&config)
	traces, err := newTracing(ctx, log)
	if err != nil {
		return err
	}
	if traces != nil {
		defer traces.close(ctx, log)
		config.Traces, config.Collectors = traces, []prometheus.Collector{traces.spans}
	}
	server, err := api.New(config)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", c.Addr)
	if err != nil {
		return err
	}
	web := newWebsite(ctx, c.patient(&http.Server{
		Handler:  server.Handler(),
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}), listener)
	failed := make(chan error, 1)
	go func() { failed <- web.Serve(web.listener) }()
	worked := make(chan struct{})
	work, rest := context.WithCancel(ctx)
	defer func() { rest(); <-worked }() // what is at work goes back into the queue
	go func() { defer close(worked); server.Work(work) }()
	greet(out, baseURL(listener.Addr()), required, store)

	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	log.Info("shutting down")
	server.Drain()
	time.Sleep(c.drainFor())
	return web.finish(log, c.finishWithin())
}

// patient bounds how long the server bears with one connection.
func (c *serveCommand) patient(server *http.Server) *http.Server {
	server.ReadHeaderTimeout, server.MaxHeaderBytes = readHeaderTimeout, maxHeaderBytes
	server.ReadTimeout, server.WriteTimeout = readTimeout, c.longest()+writeTimeout
	server.IdleTimeout = idleTimeout
	return server
}

// baseURL is where a browser on this machine finds the service.
func baseURL(addr net.Addr) string {
	tcp, ok := addr.(*net.TCPAddr)
	if !ok {
		return "http://" + addr.String()
	}
	host := tcp.IP.String()
	if len(tcp.IP) == 0 || tcp.IP.IsUnspecified() {
		host = "127.0.0.1"
	}
	return fmt.Sprintf("http://%s", net.JoinHostPort(host, fmt.Sprint(tcp.Port)))
}

// greet says where the service is, and shows three lines that work as they
// stand.
func greet(w io.Writer, url string, keysRequired bool, store storage.Backend) {
	fmt.Fprintf(w, `foldwright %s
listening at  %s
designs in    %s %s
reference at  %s/docs

Try, in another terminal:
  %s
`, release(), url, store.Name(), store.Location(), url, strings.Join(api.FirstSteps(url, keysRequired), "\n  "))
}
