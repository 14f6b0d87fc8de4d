// Package hooks sends events to the hooks of a store, signed as the Standard
// Webhooks specification says (github.com/standard-webhooks/standard-webhooks).
// Since whoever makes a hook chooses where this machine connects to, addresses
// are judged where they are dialled: no name can lead inside the network. What
// an event looks like, the package does not know.
package hooks
