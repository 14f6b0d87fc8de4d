package api

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// Whoever sends a body too slowly is told so, and not that all is well.
func TestSlowBody(t *testing.T) {
	service := httptest.NewUnstartedServer(newServer(t).Handler())
	service.Config.ReadTimeout = 200 * time.Millisecond
	service.Start()
	defer service.Close()
	conn, err := net.Dial("tcp", service.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	fmt.Fprint(conn, "POST /v1/solve HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{")
	answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	said, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusBadRequest || !strings.Contains(string(said), "did not arrive in time") {
		t.Errorf("%d %s, %v", answer.StatusCode, said, err)
	}
}

// endless is a body without end, which counts what is read of it.
type endless struct{ read int }

func (e *endless) Read(p []byte) (int, error) {
	e.read += len(p)
	return len(p), nil
}

// No more of a body is read than may be in one, whatever else looks at the
// request.
func TestLongBodyIsNotRead(t *testing.T) {
	body := &endless{}
	r := httptest.NewRequest(http.MethodPost, "/v1/solve", io.LimitReader(body, 8*maxBody))
	r.Header.Set("Content-Type", MediaJSON)
	w := httptest.NewRecorder()
	newServer(t).Handler().ServeHTTP(w, r)
	if w.Code != http.StatusRequestEntityTooLarge || body.read > 2*maxBody {
		t.Errorf("%d after %d bytes: %s", w.Code, body.read, w.Body)
	}
}
