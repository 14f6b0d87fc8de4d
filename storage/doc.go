// Package storage says what it means to keep designs: the values that are
// kept, the interfaces that keep them, and the errors they answer with.
//
// Everything belongs to a workspace, and none can see into another. Who may
// work in one is said by its keys, who may read one design by its shares; of
// both only the hash of the secret is kept.
//
// A design is a title, some tags and a row of numbered versions. A version is
// never changed once it is made, so whoever holds its design and number may
// cache it for ever. The packages storage/sqlite and storage/postgres keep
// designs in a file and in a server; storage/storetest is the one suite that
// both must pass.
package storage
