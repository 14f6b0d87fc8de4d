//go:build linux

package pgtest

import (
	"testing"

	"github.com/jackc/pgx/v5"
)

// What was committed is there after the server was killed and has recovered.
func TestOwnServerIsKilledAndRecovers(t *testing.T) {
	s := Own(t, "")
	run := func(statement string) {
		t.Helper()
		conn, err := pgx.Connect(t.Context(), s.URL())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close(t.Context())
		if _, err := conn.Exec(t.Context(), statement); err != nil {
			t.Error(err)
		}
	}
	run("CREATE TABLE gulls ()")
	s.Kill(t)
	if conn, err := pgx.Connect(t.Context(), s.URL()); err == nil {
		conn.Close(t.Context())
		t.Fatal("it answers although it was killed")
	}
	s.Start(t)
	run("DROP TABLE gulls")
}
