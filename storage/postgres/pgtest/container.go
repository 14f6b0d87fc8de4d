package pgtest

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"os"
	"time"

	"github.com/testcontainers/testcontainers-go"
	"github.com/testcontainers/testcontainers-go/modules/postgres"
)

const image = "postgres:17-alpine"

// engineAnswers reports whether a container engine is there. The container
// library would look for one at length, and panic when it finds none.
func engineAnswers() bool {
	host := os.Getenv("DOCKER_HOST")
	if host == "" {
		host = "unix:///var/run/docker.sock"
	}
	u, err := url.Parse(host)
	if err != nil {
		return false
	}
	network, address := u.Scheme, u.Host
	switch network {
	case "unix":
		address = u.Path
	case "http", "https":
		network = "tcp"
	case "tcp":
	default:
		return false
	}
	client := http.Client{
		Timeout: 2 * time.Second,
		Transport: &http.Transport{
			DisableKeepAlives: true,
			DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) {
				return new(net.Dialer).DialContext(ctx, network, address)
			},
		},
	}
	// An engine that wants TLS refuses this in plain HTTP, which is an answer.
	answer, err := client.Get("http://engine/_ping")
	if err != nil {
		return false
	}
	answer.Body.Close()
	return true
}

func startContainer() (server, error) {
	// Long enough to fetch the image over a slow line.
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	container, err := postgres.Run(ctx, image, postgres.BasicWaitStrategies())
	stop := func() error { return testcontainers.TerminateContainer(container) }
	if err != nil {
		return server{}, errors.Join(fmt.Errorf("pgtest: run a container: %w", err), stop())
	}
	address, err := container.ConnectionString(ctx, "sslmode=disable")
	if err != nil {
		return server{}, errors.Join(err, stop())
	}
	u, err := url.Parse(address)
	return server{url: u, stop: stop}, err
}
