package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/signal"
	"time"

	"github.com/alecthomas/kong"
)

// Bounds of what one run may do to a service.
const (
	maxRate     = 5000
	maxRequests = 2_000_000
)

type command struct {
	URL      string        `arg:"" help:"Where the service is."`
	Key      string        `env:"FOLDWRIGHT_LOAD_KEY" help:"The secret of a key."`
	Rate     int           `default:"100" help:"Requests that arrive in a second."`
	Duration time.Duration `default:"30s" help:"How long they do."`
	Designs  int           `default:"50" help:"Designs to store before, for reading."`
	Seed     uint64        `default:"1" help:"Of the order of requests."`
	Soak     bool          `help:"Follow memory, goroutines and files of the service meanwhile, and tell whether they grow."`
	Store    string        `type:"existingfile" help:"File of the SQLite store, to follow its size while soaking."`
	Anywhere bool          `help:"Load a service that is not on this machine. Only do that to one of your own."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var c command
	kong.Parse(&c, kong.Name("load"), kong.Description("Puts a service under load, and tells how it bears it."))
	if err := c.run(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "load:", err)
		os.Exit(1)
	}
}

func (c *command) run(ctx context.Context) error {
	if err := c.bounded(); err != nil {
		return err
	}
	s := &service{url: c.URL, key: c.Key}
	m, err := newMix(ctx, s, c.Designs, c.Seed)
	if err != nil {
		return err
	}
	watch, stopWatching := context.WithCancel(ctx)
	health := watched(watch, func() probe { return s.probe(watch, "/healthz") })
	var soaked <-chan []sample
	if c.Soak {
		soaked = followed(watch, s, c.Store, c.Duration)
	}
	r := attack(ctx, m, c.Rate, c.Duration)
	stopWatching()
	r.health = <-health
	told := r.write(os.Stdout)
	if soaked != nil {
		writeTrends(os.Stdout, <-soaked)
	}
	return errors.Join(told, m.clear(context.WithoutCancel(ctx)))
}

func (c *command) bounded() error {
	u, err := url.Parse(c.URL)
	if err != nil {
		return err
	}
	if !c.Anywhere && !onThisMachine(u.Hostname()) {
		return fmt.Errorf("%s is not this machine; --anywhere loads it all the same", u.Hostname())
	}
	if c.Rate < 1 || c.Rate > maxRate || c.Designs < 1 || float64(c.Rate)*c.Duration.Seconds() > maxRequests {
		return errors.New("at least one design and one request a second, at most " + fmt.Sprint(maxRate) + ", and two million in all")
	}
	return nil
}

func onThisMachine(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
