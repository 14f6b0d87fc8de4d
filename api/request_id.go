package api

import (
	"crypto/rand"
	"encoding/hex"
	"regexp"

	"foldwright/storage/access"
)

const requestIDHeader = "X-Request-Id"

// A request id goes into logs and headers, so only plain ones are taken over,
// and no secrets.
var requestIDRule = regexp.MustCompile(`^[A-Za-z0-9_.-]{1,64}$`)

// requestID takes over the client's id, or makes one.
func requestID(sent string) string {
	if requestIDRule.MatchString(sent) && access.Redact(sent) == sent {
		return sent
	}
	var b [8]byte
	rand.Read(b[:]) // never fails: crypto/rand ends the process instead
	return hex.EncodeToString(b[:])
}
