package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"foldwright/solver/design"
	"foldwright/storage"

	jsonpatch "github.com/evanphx/json-patch/v5"
)

// versionNote is what a client says of a version besides its document.
type versionNote struct {
	message *Message
	author  *Author
}

// version is the document as the store takes it.
func (n versionNote) version(doc *Document) (storage.NewVersion, error) {
	v := storage.NewVersion{Title: doc.Design.Title, Tags: doc.Design.Tags, Document: doc.Raw, Hash: doc.Hash}
	fill(&v.Message, n.message)
	fill(&v.Author, n.author)
	return v, checkStorable(doc.Design)
}

// store is that of the workspace the request works in.
func (s *Server) store(ctx context.Context) storage.Store {
	return s.database.In(exchangeOf(ctx).principal.workspace)
}

// checkStorable refuses what JSON can hold and no database can.
func checkStorable(d *design.Design) error {
	const detail = "the character U+0000 cannot be stored; take it out"
	if !storage.ValidText(d.Title) {
		return faultAt(invalidDesign, FieldError{Pointer: "/title", Code: NotAllowed, Detail: detail})
	}
	for i, tag := range d.Tags {
		if !storage.ValidText(tag) {
			return faultAt(invalidDesign, FieldError{Pointer: indexed("/tags", i), Code: NotAllowed, Detail: detail})
		}
	}
	return nil
}

// idempotencyKey names a change: the operation with its target, what is said of
// it and the hash of its body.
func idempotencyKey(key *IdempotencyKey, operation string, note versionNote, bodyHash string) storage.IdempotencyKey {
	if key == nil {
		return storage.IdempotencyKey{}
	}
	var message, author string
	fill(&message, note.message)
	fill(&author, note.author)
	sum := sha256.Sum256([]byte(strings.Join([]string{operation, message, author, bodyHash}, "\x00")))
	return storage.IdempotencyKey{Key: *key, Fingerprint: hex.EncodeToString(sum[:])}
}

const (
	// anyVersion as the version a change is based on stands for the newest.
	anyVersion = 0
	// noVersion is the number of no version. The store is asked all the same,
	// so that a repeated change whose answer got lost is answered again.
	noVersion = math.MaxInt32
	// deletedVersion is no version either: the design was deleted when it was
	// looked at.
	deletedVersion = noVersion - 1
)

// basedOn makes a change on the version that If-Match names. A design that was
// deleted when looked at, and is back when changed, may be at that version after
// all: it is looked at again.
func (s *Server) basedOn(ctx context.Context, id string, ifMatch *IfMatch, change func(on int) error) error {
	for try := 1; ; try++ {
		on, err := s.precondition(ctx, id, ifMatch)
		if err != nil {
			return err
		}
		err = change(on)
		if on != deletedVersion || try >= changeTries || !errors.Is(err, storage.ErrConflict) {
			return err
		}
	}
}

// precondition is the version that If-Match says a change is based on.
func (s *Server) precondition(ctx context.Context, id string, ifMatch *IfMatch) (int, error) {
	if ifMatch == nil {
		f := faultAt(ifMatchRequired, FieldError{Pointer: "/header/If-Match", Code: Missing, Detail: "required for a change"})
		f.detail = "send If-Match with the ETag of the version the change is based on, or * for whatever is newest"
		return 0, f
	}
	tags, star, err := parseTags(*ifMatch)
	if err != nil {
		return 0, faultAt(invalidParameter, FieldError{Pointer: "/header/If-Match", Code: BadFormat,
			Detail: `must be * or entity tags in double quotes, as ETag gives them: "3-0f3a2b1c4d5e6f70"`})
	}
	if star {
		return anyVersion, nil
	}
	v, err := s.newest(ctx, id)
	if errors.Is(err, storage.ErrDeleted) {
		return deletedVersion, nil
	}
	if err != nil {
		return 0, err
	}
	newest := designTag(v)
	if slices.ContainsFunc(tags, func(t entityTag) bool { return !t.weak && t.names(newest) }) { // strong comparison
		return v.Number, nil
	}
	return noVersion, nil
}

func (s *Server) addVersion(ctx context.Context, id string, on int, doc *Document, note versionNote, key storage.IdempotencyKey) (*answer, error) {
	version, err := note.version(doc)
	if err != nil {
		return nil, err
	}
	d, made, replayed, err := s.store(ctx).AddVersion(ctx, id, on, version, key)
	if err != nil {
		return nil, err
	}
	return s.storedAnswer(ctx, http.StatusOK, d, made, version, replayed)
}

// changeTries is how often a change is tried again when somebody else changes
// the design in between. Each such time somebody has got through, so only a
// crowd that does not let up is sent away.
const changeTries = 50

func (s *Server) patchDesign(ctx context.Context, id string, on int, patch []byte, note versionNote, key storage.IdempotencyKey) (*answer, error) {
	for try := 1; ; try++ {
		base, err := s.newest(ctx, id)
		if err != nil {
			return s.patchedBefore(ctx, id, key, err)
		}
		expect := on
		if on == anyVersion {
			expect = base.Number
		} else if on < deletedVersion && on != base.Number {
			return s.patchedBefore(ctx, id, key, storage.ErrConflict)
		}
		doc, err := s.patched(ctx, base.Document, patch)
		if err != nil {
			return s.patchedBefore(ctx, id, key, err)
		}
		a, err := s.addVersion(ctx, id, expect, doc, note, key)
		if on == anyVersion && errors.Is(err, storage.ErrConflict) && try < changeTries {
			continue
		}
		return a, err
	}
}

// patchedBefore answers a patch that does not go with the design as it is now:
// the same patch may have been made before, and then is answered as it was.
func (s *Server) patchedBefore(ctx context.Context, id string, key storage.IdempotencyKey, otherwise error) (*answer, error) {
	if key.IsZero() {
		return nil, otherwise
	}
	d, made, replayed, err := s.store(ctx).AddVersion(ctx, id, noVersion, storage.NewVersion{}, key)
	if err == nil && replayed {
		return s.storedAnswer(ctx, http.StatusOK, d, made, storage.NewVersion{}, replayed)
	}
	if err == nil || errors.Is(err, storage.ErrDeleted) || errors.Is(err, storage.ErrConflict) {
		err = otherwise
	}
	return nil, err
}

// patched applies a merge patch (RFC 7396) to a document.
func (s *Server) patched(ctx context.Context, base, patch []byte) (*Document, error) {
	members, err := splitObject(patch)
	if err != nil {
		return nil, err
	}
	for _, m := range members {
		if err := scanJSON(m.raw, "/"+pointerToken(m.key)); err != nil {
			return nil, err
		}
	}
	merged, err := jsonpatch.MergePatch(base, patch)
	if err != nil {
		return nil, fmt.Errorf("api: a patch that was checked does not apply: %w", err)
	}
	return s.pipeline.Read(ctx, merged)
}

func designPath(id string) string { return "/v1/designs/" + id }

func versionPath(v storage.Version) string {
	return designPath(v.DesignID) + "/versions/" + strconv.Itoa(v.Number)
}

// hashTag is the validator of what has this hash.
func hashTag(hash string) entityTag {
	return entityTag{opaque: strings.TrimPrefix(hash, hashPrefix)}
}

// designTag is the validator of a design at its newest version. The number
// alone would do; the hash keeps tags of different stores apart.
func designTag(v storage.Version) entityTag {
	const digits = 16
	hash := hashTag(v.Hash).opaque
	return entityTag{opaque: strconv.Itoa(v.Number) + "-" + hash[:min(digits, len(hash))]}
}

func httpTime(t time.Time) string { return t.UTC().Format(http.TimeFormat) }

func designRecord(d *storage.Design) DesignRecord {
	return DesignRecord{
		Id: d.ID, Version: int64(d.Version), Title: d.Title, Tags: append([]string{}, d.Tags...),
		CreatedAt: d.CreatedAt, UpdatedAt: d.UpdatedAt, DeletedAt: d.DeletedAt, RestorableUntil: d.RestorableUntil,
	}
}

// storedAnswer is the answer to a change. It is made of the version alone, so
// that a repeated change gets its first answer however the design went on.
func (s *Server) storedAnswer(ctx context.Context, status int, d storage.Design, made storage.Version, v storage.NewVersion, replayed bool) (*answer, error) {
	if replayed { // what was asked for now may differ, where it is a patch
		doc, err := s.pipeline.Read(ctx, made.Document)
		if err != nil {
			return nil, err
		}
		v.Title, v.Tags = doc.Design.Title, doc.Design.Tags
	}
	body, err := encode(DesignRecord{
		Id: d.ID, Version: int64(made.Number), Title: v.Title, Tags: append([]string{}, v.Tags...),
		DesignHash: &made.Hash, CreatedAt: d.CreatedAt, UpdatedAt: made.CreatedAt,
	})
	if err != nil {
		return nil, err
	}
	a := newAnswer(status, MediaJSON, body).
		with("ETag", designTag(made).String()).
		with("Content-Location", versionPath(made))
	if replayed {
		a.with("Idempotency-Replayed", "true")
	}
	return a, nil
}
