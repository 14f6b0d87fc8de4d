// Package archive writes the designs of a workspace into one file that anything
// can read, and takes them back, into whichever workspace of whichever service.
//
// The file is a ZIP archive, the same bytes for the same designs:
//
//	designs/<id>/versions/<n>.json   each version, byte for byte as it was stored
//	designs/<id>/design.json         what is known of it: see Design
//	manifest.json                    the designs, with a hash each: see Manifest
//
// A version has two hashes: that of its bytes, and the design hash, which is of
// its canonical form (RFC 8785) and is what the service answers. Keys, shares,
// jobs and hooks are not in it; package backup keeps those.
package archive
