package backup

// A Kind is how the values of a column are written. A question mark stands for
// those that may be missing.
type Kind string

// The kinds of columns.
const (
	Text       Kind = "text"
	MaybeText  Kind = "text?"
	Int        Kind = "integer"
	MaybeInt   Kind = "integer?"
	Time       Kind = "time"
	MaybeTime  Kind = "time?"
	List       Kind = "list" // of text
	Bytes      Kind = "bytes"
	MaybeBytes Kind = "bytes?"
)

// A Column of a table.
type Column struct {
	Name string `json:"name"`
	Kind Kind   `json:"kind"`
}

// A Table is what is written of one.
type Table struct {
	Name    string   `json:"name"`
	Columns []Column `json:"columns"`
	order   string   // by which rows are written
}

// Tables are all that hold what cannot be made anew, those that are referred to
// first. A test of each driver holds them against its schema.
var Tables = []Table{
	{"workspaces", columns("name", Text, "designs", Int, "versions", Int, "bytes", Int, "hooks", Int), "name"},
	{"growth", columns("workspace", Text, "stripe", Int, "designs", Int, "versions", Int, "bytes", Int), "workspace, stripe"},
	{"designs", columns("id", Text, "title", Text, "title_folded", Text, "tags", List, "version", Int,
		"created_at", Time, "updated_at", Time, "deleted_at", MaybeTime, "workspace", Text), "id"},
	{"versions", columns("design_id", Text, "number", Int, "hash", Text, "created_at", Time, "message", Text, "author", Text,
		"document", Bytes), "design_id, number"},
	{"labels", columns("design_id", Text, "label", Text, "version", Int, "created_at", Time), "design_id, label"},
	{"idempotency_keys", columns("workspace", Text, "key", Text, "fingerprint", Text, "design_id", Text, "version", Int,
		"created_at", Time), "workspace, key"},
	{"access_keys", columns("id", Text, "workspace", Text, "name", Text, "scope", Text, "origins", List, "hash", Text,
		"created_at", Time, "expires_at", MaybeTime, "last_used_at", MaybeTime, "revoked_at", MaybeTime), "id"},
	{"shares", columns("id", Text, "workspace", Text, "design_id", Text, "version", MaybeInt, "name", Text, "hash", Text,
		"created_at", Time, "expires_at", MaybeTime, "revoked_at", MaybeTime), "id"},
	{"jobs", columns("id", Text, "workspace", Text, "operation", Text, "media", Text, "state", Text, "attempts", Int,
		"progress_done", Int, "progress_of", Int, "created_at", Int, "started_at", MaybeInt, "ended_at", MaybeInt,
		"expires_at", MaybeInt, "claim", MaybeText, "leased_until", MaybeInt, "idempotency_key", MaybeText,
		"fingerprint", MaybeText, "problem", MaybeBytes, "request", Bytes, "result", MaybeBytes, "trace", MaybeText), "id"},
	{"hooks", columns("id", Text, "workspace", Text, "url", Text, "events", Text, "secret", Text, "created_at", Int,
		"off_at", MaybeInt, "off_why", Text, "failures", Int, "failing_since", MaybeInt, "served_at", Int,
		"paused_until", Int, "claim", MaybeText, "leased_until", MaybeInt), "id"},
	{"deliveries", columns("hook_id", Text, "event_id", Text, "type", Text, "about", Text, "created_at", Int, "state", Text,
		"attempts", Int, "last_at", MaybeInt, "status", Int, "error", Text, "due_at", MaybeInt, "expires_at", MaybeInt),
		"hook_id, event_id"},
}

// columns pairs names with kinds.
func columns(pairs ...any) (list []Column) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, Column{pairs[i].(string), pairs[i+1].(Kind)})
	}
	return list
}
