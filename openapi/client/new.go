package client

import (
	"context"
	"net/http"
)

// New is a client of the service at an address. The key is what the service
// asks for; "" for one on the own machine, or for what is open to everyone.
// Options follow those of New and take their place: WithHTTPClient with a
// Sender of one's own, for other bounds on waiting.
func New(address, key string, options ...ClientOption) (*ClientWithResponses, error) {
	return NewClientWithResponses(address, append([]ClientOption{WithHTTPClient(&Sender{Key: key})}, options...)...)
}

// Accept asks for an answer in a media type, such as image/svg+xml.
func Accept(mediaType string) RequestEditorFn {
	return func(_ context.Context, r *http.Request) error {
		r.Header.Set("Accept", mediaType)
		return nil
	}
}

// Shared asks by the token of a share, the end of its link, in place of a key.
func Shared(token string) RequestEditorFn {
	return func(_ context.Context, r *http.Request) error {
		query := r.URL.Query()
		query.Set("share", token)
		r.URL.RawQuery = query.Encode()
		return nil
	}
}
