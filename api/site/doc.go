// Package site makes the pages of a running service: where to start, the
// reference of the API, and a picture with a slider to put into another page.
// Pages are whole in themselves: what they show comes from the same service,
// and their style and script are part of them.
package site
