package storage_test

import (
	"errors"
	"strings"
	"testing"

	"foldwright/storage"
)

func TestNewVersionValidate(t *testing.T) {
	for _, tc := range []struct {
		why string
		v   storage.NewVersion
		ok  bool
	}{
		{"plain", storage.NewVersion{Title: "Quay", Tags: []string{"harbour"}}, true},
		{"the longest tag", storage.NewVersion{Tags: []string{strings.Repeat("g", storage.MaxTagBytes)}}, true},
		{"a tag one byte longer", storage.NewVersion{Tags: []string{strings.Repeat("g", storage.MaxTagBytes+1)}}, false},
		{"NUL in the title", storage.NewVersion{Title: "Qu\x00ay"}, false},
		{"broken UTF-8 in the title", storage.NewVersion{Title: "Qu\xffay"}, false},
		{"NUL in the message", storage.NewVersion{Message: "\x00"}, false},
		{"broken UTF-8 in the author", storage.NewVersion{Author: "\xc3"}, false},
		{"the longest message", storage.NewVersion{Message: strings.Repeat("é", storage.MaxMessage)}, true},
		{"a message one character longer", storage.NewVersion{Message: strings.Repeat("é", storage.MaxMessage+1)}, false},
		{"a message of two lines", storage.NewVersion{Message: "Raise\n\tthe lamp"}, true},
		{"a message that rings", storage.NewVersion{Message: "\a"}, false},
		{"the longest author", storage.NewVersion{Author: strings.Repeat("é", storage.MaxAuthor)}, true},
		{"an author one character longer", storage.NewVersion{Author: strings.Repeat("é", storage.MaxAuthor+1)}, false},
		{"an author of two lines", storage.NewVersion{Author: "Mara\n"}, false},
		{"NUL in the hash", storage.NewVersion{Hash: "\x00"}, false},
		{"NUL in a tag", storage.NewVersion{Tags: []string{"gull\x00"}}, false},
	} {
		err := tc.v.Validate()
		if (err == nil) != tc.ok || (err != nil && !errors.Is(err, storage.ErrInvalid)) {
			t.Errorf("%s: %v", tc.why, err)
		}
	}
}

func TestIdempotencyKeyValidate(t *testing.T) {
	for _, tc := range []struct {
		why string
		key storage.IdempotencyKey
		ok  bool
	}{
		{"none", storage.IdempotencyKey{}, true},
		{"the longest", storage.IdempotencyKey{Key: strings.Repeat("k", storage.MaxKeyBytes)}, true},
		{"one byte longer", storage.IdempotencyKey{Key: strings.Repeat("k", storage.MaxKeyBytes+1)}, false},
		{"NUL", storage.IdempotencyKey{Key: "k\x00"}, false},
		{"broken fingerprint", storage.IdempotencyKey{Key: "k", Fingerprint: "\xff"}, false},
	} {
		err := tc.key.Validate()
		if (err == nil) != tc.ok || (err != nil && !errors.Is(err, storage.ErrInvalid)) {
			t.Errorf("%s: %v", tc.why, err)
		}
	}
}
