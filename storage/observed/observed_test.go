package observed_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"foldwright/storage"
	"foldwright/storage/access"
	"foldwright/storage/observed"
	"foldwright/storage/observed/internal/write"
	"foldwright/storage/sqlite"
	"foldwright/storage/storetest"
)

func TestGeneratedMethodsAreFresh(t *testing.T) {
	kept, err := os.ReadFile("calls.go")
	if err != nil {
		t.Fatal(err)
	}
	made, err := write.Source()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, made) {
		t.Error("the interfaces of storage have changed; run go generate ./storage/observed")
	}
}

type markKey struct{}

// Every call that takes a context is told of once, by its name and with its
// error, and goes on in the watch's context.
func TestEveryCallIsWatched(t *testing.T) {
	inner, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "designs.db"), storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer inner.Close()
	var calls []string
	var ended []error
	db := observed.New(inner, func(ctx context.Context, call string) (context.Context, func(error)) {
		calls = append(calls, call)
		done, cancel := context.WithCancelCause(context.WithValue(ctx, markKey{}, call))
		cancel(errStorm)
		return done, func(err error) { ended = append(ended, err) }
	})
	for _, side := range []struct {
		of   reflect.Type
		from reflect.Value
	}{
		{reflect.TypeFor[storage.Database](), reflect.ValueOf(db)},
		{reflect.TypeFor[storage.Store](), reflect.ValueOf(db.In(access.Local))},
	} {
		for m := range side.of.Methods() {
			if !write.Watched(m) {
				continue
			}
			calls, ended = nil, nil
			in := []reflect.Value{reflect.ValueOf(t.Context())}
			for i := 1; i < m.Type.NumIn(); i++ {
				in = append(in, reflect.Zero(m.Type.In(i)))
			}
			out := side.from.MethodByName(m.Name).Call(in)
			err, _ := reflect.TypeAssert[error](out[len(out)-1])
			if !slices.Equal(calls, []string{m.Name}) || len(ended) != 1 || ended[0] != err {
				t.Errorf("%s: calls %v, ended with %v, returned %v", m.Name, calls, ended, err)
			}
			if err == nil {
				t.Errorf("%s succeeds in a context that is done", m.Name)
			}
		}
	}
}

var errStorm = errors.New("storm")

// A watched database keeps the contract.
func TestContract(t *testing.T) {
	storetest.Run(t, func(t testing.TB) storetest.Open {
		path := filepath.Join(t.TempDir(), "designs.db")
		return func(o storage.Options) (storage.Backend, error) {
			inner, err := sqlite.Open(t.Context(), path, o)
			if err != nil {
				return nil, err
			}
			return watchedBackend{inner, observed.New(inner, func(ctx context.Context, _ string) (context.Context, func(error)) {
				return ctx, func(error) {}
			})}, nil
		}
	})
}

// watchedBackend has, of the inner one, only what a Database has not.
type watchedBackend struct {
	inner storage.Backend
	storage.Database
}

func (b watchedBackend) Name() string         { return b.inner.Name() }
func (b watchedBackend) Location() string     { return b.inner.Location() }
func (b watchedBackend) Stats() storage.Stats { return b.inner.Stats() }

func (b watchedBackend) Schema(ctx context.Context) (int64, error) { return b.inner.Schema(ctx) }
