package client

import (
	"encoding/json"
	"io"
	"mime"
	"net/http"
	"strings"
)

// longestProblem is far more than the service says of one.
const longestProblem = 1 << 20

// Error says what is wrong, and where.
func (p *Problem) Error() string {
	if p.Errors == nil || len(*p.Errors) == 0 {
		return p.Title + ": " + p.Detail
	}
	places := []string{}
	for _, e := range *p.Errors {
		places = append(places, e.Pointer+": "+e.Detail)
	}
	return p.Title + ": " + strings.Join(places, "; ")
}

// problemOf reads the problem out of an answer that is one. What a proxy says in
// its own way is a problem of the answer's status.
func problemOf(answer *http.Response) error {
	if answer.StatusCode < http.StatusBadRequest {
		return nil
	}
	defer answer.Body.Close()
	p := Problem{Status: answer.StatusCode, Title: http.StatusText(answer.StatusCode), Type: "about:blank", Instance: answer.Header.Get("X-Request-Id")}
	if media, _, err := mime.ParseMediaType(answer.Header.Get("Content-Type")); err == nil && media == "application/problem+json" {
		if err := json.NewDecoder(io.LimitReader(answer.Body, longestProblem)).Decode(&p); err != nil {
			return err
		}
	}
	return &p
}
