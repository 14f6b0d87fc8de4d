package api

import "net/http"

// problemKind is one type of problem: what its address explains.
type problemKind struct {
	name        string // last part of the address
	title       string
	status      int
	explanation string
}

const problemBase = "/problems/"

func (k *problemKind) address() string { return problemBase + k.name }

var (
	malformedJSON = &problemKind{"malformed-json", "The body is not valid JSON", http.StatusBadRequest,
		"The body could not be read as JSON text (RFC 8259): a token JSON does not have (NaN, Infinity, a trailing comma), text that ends early, " +
			"a key given twice in one object, nesting deeper than any design, or bytes that are not UTF-8."}
	invalidParameter = &problemKind{"invalid-parameter", "A parameter is not allowed", http.StatusBadRequest,
		"A parameter in the address or a header is missing, unknown, or outside what it allows. The pointer names it: /query/limit, /path/n, /header/If-Match."}
	invalidRequest = &problemKind{"invalid-request", "An option of the request is not allowed", http.StatusUnprocessableEntity,
		"The body is JSON, but an option beside the design is missing, unknown, of the wrong type or outside its range."}
	invalidDesign = &problemKind{"invalid-design", "The design is not valid", http.StatusUnprocessableEntity,
		"The design has faults that keep it from being understood: every one is listed with its pointer and what is allowed there. " +
			"A design that is understood but does not work is no problem; it has findings."}
	notFound = &problemKind{"not-found", "There is nothing at this address", http.StatusNotFound,
		"No route, design, version, example or problem type has this address."}
	deleted = &problemKind{"deleted", "The design is deleted", http.StatusGone,
		"The design was deleted. POST to its address followed by /restore brings it back, until it is forgotten for good; the list of deleted designs tells when."}
	methodNotAllowed = &problemKind{"method-not-allowed", "The address does not answer this method", http.StatusMethodNotAllowed,
		"The address exists, but not for this method. The Allow header lists those it answers."}
	notAcceptable = &problemKind{"not-acceptable", "None of the accepted representations is offered", http.StatusNotAcceptable,
		"The Accept header leaves none of the media types this address offers. The detail lists them."}
	staleVersion = &problemKind{"stale-version", "The design has changed", http.StatusPreconditionFailed,
		"If-Match does not name the newest version: somebody stored another one since. Get the design again, redo the change and send its new ETag."}
	bodyTooLarge = &problemKind{"body-too-large", "The body is too large", http.StatusRequestEntityTooLarge,
		"A body may be 2 MiB long, far more than the largest design."}
	unsupportedMedia = &problemKind{"unsupported-media-type", "The media type of the body is not read here", http.StatusUnsupportedMediaType,
		"The Content-Type or Content-Encoding of the body is missing or not one this route reads. The detail lists those it does."}
	keyReused = &problemKind{"key-reused", "The Idempotency-Key belongs to another request", http.StatusUnprocessableEntity,
		"The Idempotency-Key was used before, for another operation, design or body. Use a new key for each change, and the same only to repeat one."}
	noResult = &problemKind{"no-result", "The job has no result", http.StatusConflict,
		"The job waits, is at work, failed or was cancelled. The job itself tells which, and why it failed; its events tell when it ends."}
	invalidArchive = &problemKind{"invalid-archive", "The archive is not whole", http.StatusUnprocessableEntity,
		"The archive is damaged, or holds what belongs into none: an entry is missing, too long, named by nothing, or has another hash than is told, or a version is no design. " +
			"The pointer names the entry. Nothing was imported."}
	archiveConflict = &problemKind{"archive-conflict", "Ids of the archive belong to other designs", http.StatusConflict,
		"Designs keep their ids, and those named belong to designs that differ, here or in another workspace. Nothing was imported, unless somebody else " +
			"stored such a design meanwhile; importing again skips what is there. conflicts=new_id gives new ids."}
	ifMatchRequired = &problemKind{"if-match-required", "The change must name the version it is based on", http.StatusPreconditionRequired,
		"Changing a stored design needs If-Match with the ETag of the version the change is based on, so that nobody overwrites what they have not seen. * stands for whatever is newest."}
	keyRequired = &problemKind{"key-required", "A good key is required", http.StatusUnauthorized,
		"The request came without a key, or with one that is unknown, revoked or expired. Send the key in the header Authorization, after the word Bearer. " +
			"Whoever runs the service makes keys with foldwright key create, and whoever has one of the scope admin with POST /v1/keys."}
	forbidden = &problemKind{"forbidden", "The key does not allow this", http.StatusForbidden,
		"The key is good, but not for this: its scope is too narrow, or it is a browser key and the request did not come from a page of the origins it names. The detail says which."}
	tooManyRequests = &problemKind{"too-many-requests", "Too many requests", http.StatusTooManyRequests,
		"A key, and an address without one, may send so many requests in a minute. Wait for Retry-After seconds; RateLimit tells in every answer what is left."}
	busy = &problemKind{"busy", "The service has too much to do", http.StatusServiceUnavailable,
		"Work on designs waits in a queue, and the queue is full or this request has waited too long; one client may have all work at once but one. " +
			"Nothing was done; send the request again after Retry-After seconds, which are estimated from the work ahead."}
	quotaReached = &problemKind{"quota-reached", "The workspace is full", http.StatusForbidden,
		"The workspace may keep so many designs, versions and bytes of documents, keys, jobs, and shares and labels of a design; what was asked for would be more. The detail names the bound. " +
			"Deleting designs makes room for designs, not for versions and bytes, as long as a deleted design can be restored. Who runs the service can raise the bounds."}
	internal = &problemKind{"internal", "The service failed", http.StatusInternalServerError,
		"Something went wrong inside the service; the request may be repeated. The request id finds the cause in the service's log."}
	unavailable = &problemKind{"unavailable", "The service cannot answer now", http.StatusServiceUnavailable,
		"The store cannot be reached, is too busy or its disk is full, or the service is shutting down. A change may or may not have been stored: repeat it with the same Idempotency-Key after Retry-After seconds."}
	tookTooLong = &problemKind{"took-too-long", "The request took too long", http.StatusServiceUnavailable,
		"The request needed more time than the service allows one. Ask for fewer mechanisms, openings, pictures or copies in one request."}
	tooComplex = &problemKind{"too-complex", "The design is too complex for this answer", http.StatusUnprocessableEntity,
		"The design is valid, but this answer cannot be made of it: its panels run through one another too often to be drawn, or an outline is too tangled " +
			"to be made solid. The detail says which. Asking again gives the same answer."}
)

// problemKinds is every kind, in the order of the catalogue.
var problemKinds = []*problemKind{
	malformedJSON, invalidParameter, invalidRequest, invalidDesign, notFound, deleted, methodNotAllowed, notAcceptable,
	staleVersion, bodyTooLarge, unsupportedMedia, keyReused, noResult, invalidArchive, archiveConflict, ifMatchRequired,
	keyRequired, forbidden, quotaReached, tooManyRequests, internal, unavailable, busy, tookTooLong, tooComplex,
}

// codeInfo explains a code of a FieldError and says what kind of problem it
// comes with in a body. In a parameter it comes with invalidParameter.
type codeInfo struct {
	code        FieldErrorCode
	kind        *problemKind
	explanation string
}

var codeInfos = []codeInfo{
	{MalformedJson, malformedJSON, "The text is not JSON from this place on."},
	{TooDeep, malformedJSON, "Objects and arrays are nested deeper than in any design."},
	{DuplicateKey, malformedJSON, "One object has the same key twice, so that readers would differ over what it means."},
	{WrongType, invalidDesign, "The value is of another JSON type than the field."},
	{Missing, invalidDesign, "A required field is not there."},
	{UnknownField, invalidDesign, "There is no such field; the detail lists those there are."},
	{OutOfRange, invalidDesign, "A number or a length of text is outside its range."},
	{NotAllowed, invalidDesign, "The value is not one of the choices, or does not go with the rest."},
	{TooMany, invalidDesign, "The list is too long."},
	{BadId, invalidDesign, "An id is not a lower-case letter followed by lower-case letters, digits and underscores, or is taken by the spread."},
	{DuplicateId, invalidDesign, "Two mechanisms have the same id."},
	{UnknownHost, invalidDesign, "The fold or panel to stand on is made by no mechanism of the design."},
	{HostCycle, invalidDesign, "Mechanisms stand on one another in a circle."},
	{BadPath, invalidDesign, "The SVG path data cannot be read, or encloses nothing."},
	{BadFormat, invalidParameter, "The text is not of the form the parameter needs."},
	{BadCursor, invalidParameter, "The cursor was not made by this list; start again without one."},
}

func infoOf(code FieldErrorCode) *codeInfo {
	for i := range codeInfos {
		if codeInfos[i].code == code {
			return &codeInfos[i]
		}
	}
	return nil
}
