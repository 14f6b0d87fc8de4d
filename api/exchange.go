package api

import (
	"context"

	"foldwright/storage"
)

// exchange is what the middleware knows of one request.
type exchange struct {
	requestID string
	base      string           // address the client found the service at
	head      bool             // only the header is wanted
	media     string           // negotiated media type of the answer
	operation *operation       // nil where the contract has none
	principal *principal       // nil until it is known
	problem   *problemKind     // that was answered, if one was
	key       *answerKey       // of an answer that is to be remembered
	worked    func(*answer)    // is told that answer
	version   *storage.Version // that the request names, once it was read
}

type exchangeKey struct{}

func withExchange(ctx context.Context, x *exchange) context.Context {
	return context.WithValue(ctx, exchangeKey{}, x)
}

// exchangeOf is the exchange of the request that ctx belongs to.
func exchangeOf(ctx context.Context) *exchange {
	if x, ok := ctx.Value(exchangeKey{}).(*exchange); ok {
		return x
	}
	return &exchange{}
}
