package api

import (
	"context"
	"net/http"
	"time"

	"foldwright/storage"
	"foldwright/storage/access"
)

// CreateKey answers POST /v1/keys.
func (s *Server) CreateKey(ctx context.Context, request CreateKeyRequestObject) (CreateKeyResponseObject, error) {
	body := request.Body
	scope := access.Scope(body.Scope)
	secret := access.NewSecret(scope.SecretKind())
	nk := storage.NewKey{Scope: scope, ExpiresAt: s.expiry(body.ValidDays), Hash: access.Hash(secret)}
	if body.Origins != nil {
		nk.Origins = *body.Origins
	}
	var err error
	if nk.Name, err = accessName(body.Name); err != nil {
		return nil, err
	}
	if err := checkOrigins(scope, nk.Origins); err != nil {
		return nil, err
	}
	k, err := s.store(ctx).AddKey(ctx, nk)
	if err != nil {
		return nil, err
	}
	record := keyRecord(&k)
	record.Secret = &secret
	return secretAnswer(record)
}

// secretAnswer is the only answer that holds a new secret.
func secretAnswer(record any) (*answer, error) {
	encoded, err := encode(record)
	if err != nil {
		return nil, err
	}
	return newAnswer(http.StatusCreated, MediaJSON, encoded).with("Cache-Control", "no-store"), nil
}

// checkOrigins states the rules that the contract cannot.
func checkOrigins(scope access.Scope, origins []string) error {
	switch {
	case scope == access.Browser && len(origins) == 0:
		return faultAt(invalidRequest, FieldError{Pointer: "/origins", Code: Missing, Detail: "required for a browser key: the origins of its pages"})
	case scope != access.Browser && len(origins) > 0:
		return faultAt(invalidRequest, FieldError{Pointer: "/origins", Code: NotAllowed, Detail: "only for a browser key; another must not be in a page"})
	}
	for i, origin := range origins {
		if err := access.CheckOrigin(origin); err != nil {
			return faultAt(invalidRequest, FieldError{Pointer: indexed("/origins", i), Code: BadFormat, Detail: err.Error()})
		}
	}
	return nil
}

func accessName(given *AccessName) (string, error) {
	var name string
	fill(&name, given)
	if len(name) > storage.MaxNameBytes || !storage.ValidText(name) {
		return "", faultAt(invalidRequest, FieldError{Pointer: "/name", Code: OutOfRange, Detail: "may be " + counted(storage.MaxNameBytes, "byte") + " of text long"})
	}
	return name, nil
}

// expiry is when what is made now ends; nil is never.
func (s *Server) expiry(validDays *ValidDays) *time.Time {
	if validDays == nil {
		return nil
	}
	return new(s.now().AddDate(0, 0, *validDays))
}

// ListKeys answers GET /v1/keys.
func (s *Server) ListKeys(ctx context.Context, _ ListKeysRequestObject) (ListKeysResponseObject, error) {
	keys, err := s.store(ctx).Keys(ctx)
	if err != nil {
		return nil, err
	}
	out := KeyList{Keys: make([]KeyRecord, len(keys))}
	for i := range keys {
		out.Keys[i] = keyRecord(&keys[i])
	}
	return ListKeys200JSONResponse(out), nil
}

// RevokeKey answers DELETE /v1/keys/{key}.
func (s *Server) RevokeKey(ctx context.Context, request RevokeKeyRequestObject) (RevokeKeyResponseObject, error) {
	if err := s.store(ctx).RevokeKey(ctx, request.Key); err != nil {
		return nil, err
	}
	return RevokeKey204Response{}, nil
}

func keyRecord(k *storage.Key) KeyRecord {
	return KeyRecord{
		Id: k.ID, Name: k.Name, Scope: AccessScope(k.Scope), Origins: k.Origins,
		CreatedAt: k.CreatedAt, ExpiresAt: k.ExpiresAt, LastUsedAt: k.LastUsedAt, RevokedAt: k.RevokedAt,
	}
}
