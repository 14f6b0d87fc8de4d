// Package storage says what it means to keep designs: the values that are
// kept, the one interface that keeps them, and the errors it answers with.
//
// A design is a title, some tags and a row of numbered versions. A version is
// never changed once it is made, so whoever holds its design and number may
// cache it for ever. The packages storage/sqlite and storage/postgres keep
// designs in a file and in a server; storage/storetest is the one suite that
// both must pass.
package storage
