// Package api is the HTTP interface of the service, and the way from the bytes
// of a design document to the bytes of an answer.
//
// The contract is openapi/openapi.yaml; gen.go is made from it. A request goes
// through the middleware (request id, log and counters, compression, recovery,
// who sends it and how often, negotiation, parameters and body options held to
// the contract, the queue, the time limit), then to a handler, which
// decodes, makes one call of the Pipeline or the store, and encodes. Errors are
// turned into problems in one place, problem_map.go.
package api
