package pgtest

import (
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"foldwright/testdata/outside"

	"github.com/jackc/pgx/v5"
)

func TestMain(m *testing.M) { os.Exit(Run(m)) }

func TestURLGivesAnEmptyDatabaseEachTime(t *testing.T) {
	a, b := URL(t), URL(t)
	if a == b {
		t.Fatalf("twice %s", a)
	}
	for _, address := range []string{a, b} {
		conn, err := pgx.Connect(t.Context(), address)
		if err != nil {
			t.Fatal(err)
		}
		// The second would fail in the same database.
		_, err = conn.Exec(t.Context(), "CREATE TABLE gulls ()")
		if err != nil {
			t.Error(err)
		}
		conn.Close(t.Context())
	}
}

func TestDatabaseIsDroppedAfterItsTest(t *testing.T) {
	var address string
	t.Run("inner", func(t *testing.T) { address = URL(t) })
	if address == "" {
		t.Skip("the inner test had no server")
	}
	conn, err := pgx.Connect(t.Context(), address)
	if err == nil {
		conn.Close(t.Context())
	}
	if err == nil || !strings.Contains(err.Error(), "3D000") {
		t.Errorf("still there: %v", err)
	}
}

func TestEngineAnswers(t *testing.T) {
	engine := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/_ping" {
			http.NotFound(w, r)
		}
	}))
	defer engine.Close()
	silent, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	for why, tc := range map[string]struct {
		host string
		want bool
	}{
		"an engine":               {"tcp://" + engine.Listener.Addr().String(), true},
		"a port that is silent":   {"tcp://" + silent.Addr().String(), false},
		"a socket that is absent": {"unix://" + filepath.Join(t.TempDir(), "engine.sock"), false},
		"a scheme of its own":     {"ssh://quay", false},
		"nonsense":                {"://", false},
	} {
		t.Setenv("DOCKER_HOST", tc.host)
		start := time.Now()
		if got := engineAnswers(); got != tc.want {
			t.Errorf("%s: %v", why, got)
		}
		if took := time.Since(start); took > 10*time.Second {
			t.Errorf("%s took %v", why, took)
		}
	}
}

func TestRequired(t *testing.T) {
	for _, tc := range []struct {
		all, ci string
		want    bool
	}{
		{"", "", false}, {"1", "", true}, {"", "true", true}, {"0", "false", false},
	} {
		t.Setenv("FOLDWRIGHT_REQUIRE_ALL", tc.all)
		t.Setenv("CI", tc.ci)
		if got := outside.Required(); got != tc.want {
			t.Errorf("%+v: %v", tc, got)
		}
	}
}
