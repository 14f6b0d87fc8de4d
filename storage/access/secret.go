package access

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"regexp"
)

// A Kind of secret is the prefix by which it is recognised wherever it turns
// up: in a request, or in a place it leaked to.
type Kind string

// Kinds of secrets.
const (
	KeySecret     Kind = "foldwright_key_"
	BrowserSecret Kind = "foldwright_browser_" // of a browser key; public
	ShareSecret   Kind = "foldwright_share_"
)

// SecretKind is the kind of secret that belongs to a key.
func (s Scope) SecretKind() Kind {
	if s == Browser {
		return BrowserSecret
	}
	return KeySecret
}

// NewSecret makes a secret. It holds 130 random bits, in letters and digits
// that survive any address, header and shell.
func NewSecret(of Kind) string { return string(of) + rand.Text() }

// Hash is what is kept of a secret, and how it is found again.
//
// A plain SHA-256 is right for these secrets: nobody can try 2^130 of them,
// however fast the hash, so a slow one would only slow down every request.
// (Slow hashes are for passwords, which people choose from few.) It also makes
// looking a secret up safe against timing: whoever measures how far a comparison
// of hashes went learns about the hash of a guess, which no one can steer.
func Hash(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

var (
	secretRule   = regexp.MustCompile(`^(` + string(KeySecret) + `|` + string(BrowserSecret) + `|` + string(ShareSecret) + `)[A-Z2-7]{26}$`)
	secretInText = regexp.MustCompile(`(foldwright_(?:key|browser|share)_)[A-Za-z0-9]+|(whsec_)[A-Za-z0-9+/=]+`)
)

// IsSecret reports whether text has the form of a secret of this kind.
func (k Kind) IsSecret(text string) bool {
	m := secretRule.FindStringSubmatch(text)
	return m != nil && m[1] == string(k)
}

// Redact takes the secrets, those of hooks too, out of text that will be logged.
func Redact(text string) string { return secretInText.ReplaceAllString(text, "${1}${2}(secret)") }
