package client_test

import (
	"context"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"foldwright/api"
	"foldwright/openapi/client"
	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/sqlite"
)

// workshop is the origin that the browser key of a service names.
const workshop = "https://workshop.example"

// service is one that asks for keys, at an address of this machine.
type service struct {
	url  string
	keys map[access.Scope]string
}

func newService(t *testing.T) *service {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "designs.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	server, err := api.New(api.Config{Store: store, KeysRequired: true})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	working := make(chan struct{})
	go func() { defer close(working); server.Work(ctx) }()
	t.Cleanup(func() { stop(); <-working })
	web := httptest.NewServer(server.Handler())
	t.Cleanup(web.Close)
	s := &service{url: web.URL, keys: map[access.Scope]string{}}
	for _, scope := range []access.Scope{access.Browser, access.Read, access.Write} {
		secret := access.NewSecret(scope.SecretKind())
		nk := storage.NewKey{Scope: scope, Hash: access.Hash(secret)}
		if scope == access.Browser {
			nk.Origins = []string{workshop}
		}
		if _, err := store.In("quay").AddKey(t.Context(), nk); err != nil {
			t.Fatal(err)
		}
		s.keys[scope] = secret
	}
	return s
}

func (s *service) client(t *testing.T, key string) *client.ClientWithResponses {
	t.Helper()
	c, err := client.New(s.url, key)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
