package hooks

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strings"
	"time"
)

// SecretPrefix is that of every secret, as the specification has it.
const SecretPrefix = "whsec_"

// secretBytes is within the 24 to 64 that the specification allows.
const secretBytes = 32

// NewSecret makes a secret to sign with.
func NewSecret() string {
	random := make([]byte, secretBytes)
	rand.Read(random) // never fails
	return SecretPrefix + base64.StdEncoding.EncodeToString(random)
}

// sign is the signature of a message, in the first version of the scheme.
func sign(secret, id string, at time.Time, body []byte) (string, error) {
	key, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(secret, SecretPrefix))
	if err != nil {
		return "", fmt.Errorf("hooks: the secret is not base64")
	}
	mac := hmac.New(sha256.New, key)
	fmt.Fprintf(mac, "%s.%d.%s", id, at.Unix(), body)
	return "v1," + base64.StdEncoding.EncodeToString(mac.Sum(nil)), nil
}
