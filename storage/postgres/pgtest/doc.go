// Package pgtest gives tests a PostgreSQL server: the one that
// FOLDWRIGHT_TEST_DATABASE_URL names, or else one in a container, or else one
// run from the binaries installed on this machine.
//
// A test binary has one server, started when the first test asks for it, and
// each call of URL makes a database of its own. Its TestMain must be
//
//	func TestMain(m *testing.M) { os.Exit(pgtest.Run(m)) }
//
// Where there is no server at all, tests skip, unless FOLDWRIGHT_REQUIRE_ALL=1
// or CI=true say that this may not happen.
package pgtest
