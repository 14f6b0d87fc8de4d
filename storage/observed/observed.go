package observed

import (
	"context"

	"foldwright/storage"
)

// A Watch is told of the beginning of a call by the name of its method. The
// call goes on in the context it returns, and what it ends with is told to the
// function it returns.
type Watch func(ctx context.Context, call string) (context.Context, func(error))

// New watches a database and the stores of its workspaces.
func New(db storage.Database, watch Watch) storage.Database { return &database{db, watch} }

// database and store embed what they watch: methods that take no context do no
// work, and need no watching.
type database struct {
	storage.Database
	watch Watch
}

type store struct {
	storage.Store
	watch Watch
}

// In implements storage.Database.
func (d *database) In(workspace string) storage.Store {
	return &store{d.Database.In(workspace), d.watch}
}
