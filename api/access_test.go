package api

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"sort"
	"strings"
	"sync"
	"testing"
	"time"

	"foldwright/api/hooks"
	"foldwright/storage"
	"foldwright/storage/access"

	"go.opentelemetry.io/otel/sdk/trace/tracetest"
)

// needs says what each operation asks of who sends it, for a second time: the
// contract says it to the server. An operation that is not here fails below.
var needs = map[string]struct {
	scope  access.Scope // "" is open to everyone
	shared bool
	queued bool
}{
	"solve":       {access.Browser, false, true},
	"check":       {access.Browser, false, true},
	"makePattern": {access.Browser, false, true},
	"view":        {access.Browser, false, true},
	"curves":      {access.Browser, false, true},
	"fit":         {access.Browser, false, true},
	"model":       {access.Browser, false, true},
	"layout":      {access.Browser, false, true},
	"guide":       {access.Browser, false, true},
	"tolerance":   {access.Browser, false, true},
	"vary":        {access.Browser, false, true},

	"createDesign":  {access.Write, false, false},
	"listDesigns":   {access.Read, false, false},
	"getDesign":     {access.Read, false, false},
	"replaceDesign": {access.Write, false, false},
	"patchDesign":   {access.Write, false, false},
	"deleteDesign":  {access.Write, false, false},
	"restoreDesign": {access.Write, false, false},
	"listVersions":  {access.Read, false, false},
	"setLabel":      {access.Write, false, false},
	"dropLabel":     {access.Write, false, false},
	"diffVersions":  {access.Read, false, true},

	"getVersion":         {access.Read, true, false},
	"solveVersion":       {access.Read, true, true},
	"checkVersion":       {access.Read, true, true},
	"patternVersion":     {access.Read, true, true},
	"patternVersionJson": {access.Read, true, true},
	"patternVersionSvg":  {access.Read, true, true},
	"patternVersionDxf":  {access.Read, true, true},
	"patternVersionPdf":  {access.Read, true, true},
	"viewVersion":        {access.Read, true, true},
	"viewVersionSvg":     {access.Read, true, true},
	"viewVersionPng":     {access.Read, true, true},
	"curvesVersion":      {access.Read, true, true},
	"curvesVersionJson":  {access.Read, true, true},
	"curvesVersionCsv":   {access.Read, true, true},
	"curvesVersionSvg":   {access.Read, true, true},
	"curvesVersionPng":   {access.Read, true, true},
	"modelVersionGlb":    {access.Read, true, true},
	"embedVersion":       {access.Read, true, true},
	"guideVersion":       {access.Read, true, true},
	"guideVersionJson":   {access.Read, true, true},
	"guideVersionHtml":   {access.Read, true, true},
	"guideVersionPdf":    {access.Read, true, true},
	"layoutVersion":      {access.Read, true, true},
	"layoutVersionJson":  {access.Read, true, true},
	"layoutVersionSvg":   {access.Read, true, true},
	"layoutVersionDxf":   {access.Read, true, true},
	"layoutVersionPdf":   {access.Read, true, true},

	"createJob":    {access.Write, false, true},
	"listJobs":     {access.Read, false, false},
	"getJob":       {access.Read, false, false},
	"getJobResult": {access.Read, false, false},
	"streamJob":    {access.Read, false, false},
	"cancelJob":    {access.Write, false, false},

	"listShares":      {access.Read, false, false},
	"createShare":     {access.Write, false, false},
	"revokeShare":     {access.Write, false, false},
	"getShared":       {"", false, false}, // the token in the address is what it takes
	"getWorkspace":    {access.Read, false, false},
	"exportWorkspace": {access.Admin, false, false},
	"importWorkspace": {access.Admin, false, false},
	"listKeys":        {access.Admin, false, false},
	"createKey":       {access.Admin, false, false},
	"revokeKey":       {access.Admin, false, false},

	"listHooks":      {access.Admin, false, false},
	"createHook":     {access.Admin, false, false},
	"getHook":        {access.Admin, false, false},
	"changeHook":     {access.Admin, false, false},
	"deleteHook":     {access.Admin, false, false},
	"pingHook":       {access.Admin, false, false},
	"listDeliveries": {access.Admin, false, false},
	"replayDelivery": {access.Admin, false, false},

	"listMechanisms":     {"", false, false},
	"getDiagram":         {"", false, true},
	"getFindingDrawing":  {"", false, true},
	"listFindings":       {"", false, false},
	"listExamples":       {"", false, false},
	"getExample":         {"", false, false},
	"solveExample":       {"", false, true},
	"checkExample":       {"", false, true},
	"patternExample":     {"", false, true},
	"patternExampleJson": {"", false, true},
	"patternExampleSvg":  {"", false, true},
	"patternExampleDxf":  {"", false, true},
	"patternExamplePdf":  {"", false, true},
	"viewExample":        {"", false, true},
	"viewExampleSvg":     {"", false, true},
	"viewExamplePng":     {"", false, true},
	"curvesExample":      {"", false, true},
	"curvesExampleJson":  {"", false, true},
	"curvesExampleCsv":   {"", false, true},
	"curvesExampleSvg":   {"", false, true},
	"curvesExamplePng":   {"", false, true},
	"modelExampleGlb":    {"", false, true},
	"embedExample":       {"", false, true},
	"guideExample":       {"", false, true},
	"guideExampleJson":   {"", false, true},
	"guideExampleHtml":   {"", false, true},
	"guideExamplePdf":    {"", false, true},
	"layoutExample":      {"", false, true},
	"layoutExampleJson":  {"", false, true},
	"layoutExampleSvg":   {"", false, true},
	"layoutExampleDxf":   {"", false, true},
	"layoutExamplePdf":   {"", false, true},
	"listProblems":       {"", false, false},
	"getProblem":         {"", false, false},

	"getService":   {"", false, false},
	"getReference": {"", false, false},
	"getOpenapi":   {"", false, false},
	"getHealth":    {"", false, false},
	"getReadiness": {"", false, false},
	"getMetrics":   {access.Admin, false, false},
}

// The contract says of every operation who may ask, and what those are told who
// may not.
func TestEveryOperationStatesItsAccess(t *testing.T) {
	s := newServer(t)
	for key, op := range s.operations {
		id := op.route.Operation.OperationID
		want, ok := needs[id]
		if !ok {
			t.Errorf("%s (%s) is not in the table above: who may ask?", key, id)
			continue
		}
		if op.scope != want.scope || op.shared != want.shared || op.queued != want.queued {
			t.Errorf("%s: the contract says scope %q, shared %v, queued %v, the table %+v", key, op.scope, op.shared, op.queued, want)
		}
		for _, status := range []string{"401", "403", "429", "503"} {
			if op.route.Operation.Responses.Value(status) == nil {
				t.Errorf("%s documents no %s", key, status)
			}
		}
	}
	if len(needs) != len(s.operations) {
		t.Errorf("the table has %d operations, the contract %d", len(needs), len(s.operations))
	}
}

// harbour is a service that asks for keys, with what is needed to try them.
type harbour struct {
	*Server
	log     *lockedBuffer
	now     time.Time
	secrets []string
	keys    map[string]string // secrets by role
	store   storage.Database
	spans   *tracetest.InMemoryExporter

	otherDesign string // the token of a share
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

const (
	workshop  = "https://workshop.example"
	elsewhere = "https://elsewhere.example"
)

func newHarbour(t *testing.T, config Config) *harbour {
	t.Helper()
	h := &harbour{log: &lockedBuffer{}, now: time.Now(), keys: map[string]string{}, store: newStore(t)}
	config.Store, config.KeysRequired = h.store, true
	config.Log = slog.New(slog.NewJSONHandler(h.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	config.Now = func() time.Time { return h.now }
	h.spans, config.Traces = recorder(t)
	h.Server = serverWith(t, config)
	past := h.now.Add(-time.Hour)
	for role, nk := range map[string]storage.NewKey{
		"read": {Scope: access.Read}, "write": {Scope: access.Write}, "admin": {Scope: access.Admin},
		"browser": {Scope: access.Browser, Origins: []string{workshop}},
		"expired": {Scope: access.Admin, ExpiresAt: &past}, "revoked": {Scope: access.Admin},
	} {
		h.keys[role] = h.addKey(t, "quay", nk, role == "revoked")
	}
	h.keys["stranger"] = h.addKey(t, "mill", storage.NewKey{Scope: access.Admin}, false)
	h.keys["unknown"] = h.secret(access.KeySecret)
	h.keys["malformed"] = "foldwright_key_short"
	return h
}

func (h *harbour) secret(kind access.Kind) string {
	s := access.NewSecret(kind)
	h.secrets = append(h.secrets, s)
	return s
}

func (h *harbour) addKey(t *testing.T, workspace string, nk storage.NewKey, revoked bool) string {
	t.Helper()
	secret := h.secret(nk.Scope.SecretKind())
	nk.Hash = access.Hash(secret)
	k, err := h.store.In(workspace).AddKey(t.Context(), nk)
	if err != nil {
		t.Fatal(err)
	}
	if revoked {
		if err := h.store.In(workspace).RevokeKey(t.Context(), k.ID); err != nil {
			t.Fatal(err)
		}
	}
	return secret
}

// berth is a design of its own for one request, with a key and shares to act on.
type berth struct{ id, key, job, hook, delivery, share, token, other, ended, revoked string }

func (h *harbour) berth(t *testing.T) berth {
	t.Helper()
	store := h.store.In("quay")
	ctx := t.Context()
	version := storage.NewVersion{Title: "Secret quay", Document: []byte(`{"title":"Secret quay","spread":{"page_width":130,"page_height":180}}`)}
	version.Hash = hashOf(version.Document)
	d, _, _, err := store.Create(ctx, version, storage.IdempotencyKey{})
	if err != nil {
		t.Fatal(err)
	}
	version.Message, version.Hash = "again", hashOf([]byte("again"))
	if _, _, _, err := store.AddVersion(ctx, d.ID, 1, version, storage.IdempotencyKey{}); err != nil {
		t.Fatal(err)
	}
	if err := store.SetLabel(ctx, d.ID, 1, "proof"); err != nil {
		t.Fatal(err)
	}
	b := berth{id: d.ID}
	past := h.now.Add(-time.Hour)
	for _, share := range []struct {
		token   *string
		version int
		ends    *time.Time
		revoke  bool
	}{{&b.token, 1, nil, false}, {&b.other, 2, nil, false}, {&b.ended, 1, &past, false}, {&b.revoked, 1, nil, true}} {
		*share.token = h.secret(access.ShareSecret)
		made, err := store.AddShare(ctx, d.ID, storage.NewShare{Version: share.version, ExpiresAt: share.ends, Hash: access.Hash(*share.token)})
		if err != nil {
			t.Fatal(err)
		}
		b.share = made.ID
		if share.revoke {
			if err := store.RevokeShare(ctx, d.ID, made.ID); err != nil {
				t.Fatal(err)
			}
		}
	}
	return b
}

// request is one that the contract allows, with the contract's own example as
// its body.
func (h *harbour) request(t *testing.T, op *operation, b berth) *http.Request {
	t.Helper()
	if strings.Contains(op.route.Path, "{key}") {
		k, err := h.store.In("quay").AddKey(t.Context(), storage.NewKey{Scope: access.Read, Hash: access.NewSecret(access.KeySecret)})
		if err != nil {
			t.Fatal(err)
		}
		b.key = k.ID
	}
	if strings.Contains(op.route.Path, "{job}") {
		b.job = doneJob(t, h.store, "quay")
	}
	if strings.Contains(op.route.Path, "{hook}") {
		b.hook, b.delivery = pingedHook(t, h.store, "quay")
	}
	path := strings.NewReplacer("{job}", b.job, "{hook}", b.hook, "{delivery}", b.delivery, "{id}", b.id, "{n}", "1", "{key}", b.key, "{share}", b.share, "{token}", b.token,
		"{kind}", "v_fold", "{code}", "cannot_shut", "{name}", "quay", "{problem}", "not-found", "{label}", "proof").Replace(op.route.Path)
	var body []byte
	if op.archive && op.bodies != nil {
		body = emptyArchive(t)
	} else if op.bodies != nil {
		examples := op.route.Operation.RequestBody.Value.Content[op.bodies[0]].Examples
		names := []string{}
		for name := range examples {
			names = append(names, name)
		}
		sort.Strings(names)
		if len(names) == 0 {
			t.Fatalf("%s has no example of its body", op.route.Path)
		}
		var err error
		if body, err = json.Marshal(examples[names[0]].Value.Value); err != nil {
			t.Fatal(err)
		}
	}
	r := httptest.NewRequest(op.route.Method, path, bytes.NewReader(body))
	if op.bodies != nil {
		r.Header.Set("Content-Type", op.bodies[0])
	}
	if op.route.Method != http.MethodGet {
		r.Header.Set("If-Match", "*")
	}
	return r
}

// role is how somebody asks: with a key, from the pages of an origin, with a
// share.
type role struct {
	name, key, origin string
	share             func(*harbour, berth) string
}

var roles = []role{
	{name: "nobody"},
	{name: "a page without a key", origin: workshop},
	{name: "an unknown key", key: "unknown"},
	{name: "a malformed key", key: "malformed"},
	{name: "an expired key", key: "expired"},
	{name: "a revoked key", key: "revoked"},
	{name: "read", key: "read"},
	{name: "write", key: "write"},
	{name: "admin", key: "admin"},
	{name: "admin of another workspace", key: "stranger"},
	{name: "browser, its own pages", key: "browser", origin: workshop},
	{name: "browser, another's pages", key: "browser", origin: elsewhere},
	{name: "browser, no pages", key: "browser"},
	{name: "share", share: func(_ *harbour, b berth) string { return b.token }},
	{name: "share of another version", share: func(_ *harbour, b berth) string { return b.other }},
	{name: "share of another design", share: func(h *harbour, _ berth) string { return h.otherDesign }},
	{name: "expired share", share: func(_ *harbour, b berth) string { return b.ended }},
	{name: "revoked share", share: func(_ *harbour, b berth) string { return b.revoked }},
	{name: "unknown share", share: func(*harbour, berth) string { return "foldwright_share_AAAAAAAAAAAAAAAAAAAAAAAAAA" }},
	{name: "malformed share", share: func(*harbour, berth) string { return "gull" }},
}

// want is the status that somebody in a role must get; 0 is any of success.
func (r role) want(op *operation) int {
	need := needs[op.route.Operation.OperationID]
	held := map[string]access.Scope{
		"read": access.Read, "write": access.Write, "admin": access.Admin, "stranger": access.Admin, "browser": access.Browser,
	}[r.key]
	switch {
	case r.share != nil && need.shared:
		if r.name != "share" {
			return http.StatusNotFound
		}
		return 0
	case r.share != nil && need.scope == "":
		return http.StatusBadRequest // there is no such parameter
	case r.key != "" && held == "":
		return http.StatusUnauthorized
	case r.key == "browser" && r.origin != workshop:
		return http.StatusForbidden
	case need.scope == "":
		return 0
	case held == "":
		return http.StatusUnauthorized
	case !held.Includes(need.scope):
		return http.StatusForbidden
	case r.key == "stranger" && strings.ContainsAny(strings.ReplaceAll(op.route.Path, "{token}", ""), "{"):
		return http.StatusNotFound
	}
	return 0
}

// Every operation in every role.
func TestAuthorisation(t *testing.T) {
	h := newHarbour(t, Config{})
	other := h.berth(t)
	h.otherDesign = other.token
	unchanged := h.berth(t)
	for key, op := range h.operations {
		for _, role := range roles {
			b := unchanged
			if op.route.Method != http.MethodGet {
				b = h.berth(t)
			}
			r := h.request(t, op, b)
			if role.key != "" {
				r.Header.Set("Authorization", "Bearer "+h.keys[role.key])
			}
			if role.origin != "" {
				r.Header.Set("Origin", role.origin)
			}
			if role.share != nil {
				r.URL.RawQuery = "share=" + role.share(h, b)
			}
			w := httptest.NewRecorder()
			h.Handler().ServeHTTP(w, r)
			want := role.want(op)
			if w.Code != want && !(want == 0 && w.Code < 400) {
				t.Errorf("%s as %s: %d, want %d: %.300s", key, role.name, w.Code, want, w.Body)
			}
			if (w.Code == http.StatusUnauthorized) != strings.HasPrefix(w.Header().Get("WWW-Authenticate"), "Bearer realm=") && w.Code != http.StatusForbidden {
				t.Errorf("%s as %s: %d with WWW-Authenticate %q", key, role.name, w.Code, w.Header().Get("WWW-Authenticate"))
			}
			if want != 0 {
				contract(t).hold(t, r, nil, w)
			}
			if want != 0 && strings.Contains(w.Body.String(), "Secret quay") {
				t.Errorf("%s as %s: refused, and told %s", key, role.name, w.Body)
			}
			if op.scope != "" && strings.Contains(w.Header().Get("Cache-Control"), "public") {
				t.Errorf("%s as %s: Cache-Control %s", key, role.name, w.Header().Get("Cache-Control"))
			}
			if r.Method == http.MethodGet && want != 0 {
				r.Method = http.MethodHead
				head := httptest.NewRecorder()
				if h.Handler().ServeHTTP(head, r); head.Code != w.Code {
					t.Errorf("%s as %s: HEAD answers %d, GET %d", key, role.name, head.Code, w.Code)
				}
			}
			h.collect(w.Body.Bytes())
		}
	}
	h.keepsSecrets(t)
}

// collect remembers secrets that an answer shows.
func (h *harbour) collect(body []byte) {
	var made struct{ Secret, URL string }
	if json.Unmarshal(body, &made) != nil {
		return
	}
	for _, text := range []string{made.Secret, made.URL} {
		for _, prefix := range []string{"foldwright_", hooks.SecretPrefix} {
			if at := strings.Index(text, prefix); at >= 0 {
				h.secrets = append(h.secrets, text[at:])
			}
		}
	}
}

// keepsSecrets looks for every secret, and for its hash, in all that was logged
// and counted.
func (h *harbour) keepsSecrets(t *testing.T) {
	t.Helper()
	families, err := h.metrics.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	said := h.log.String()
	for _, f := range families {
		said += f.String()
	}
	if !strings.Contains(said, `"msg":"request"`) || len(h.secrets) < 5 {
		t.Fatal("nothing was logged, or there are no secrets to look for")
	}
	for _, secret := range h.secrets {
		_, random, _ := strings.Cut(strings.TrimPrefix(secret, "foldwright_"), "_")
		if strings.Contains(said, random) || strings.Contains(said, access.Hash(secret)) {
			t.Errorf("%s is in the log or the metrics", secret)
		}
	}
	keepsSecretsInSpans(t, h.spans.GetSpans(), h.secrets)
}

// Where a secret does not belong it is not logged either.
func TestMisplacedSecretsAreNotLogged(t *testing.T) {
	h := newHarbour(t, Config{})
	secret := h.keys["admin"]
	for _, path := range []string{
		"/v1/designs/" + secret, "/v1/keys/" + secret, "/" + secret, "/v1/shared/" + secret, "/v1/designs?q=" + secret,
		"/v1/designs?key=" + secret, "/v1/designs?" + secret + "=1", "/v1/examples/" + secret + "/view.svg", "/problems/" + secret,
	} {
		for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodDelete} {
			r := httptest.NewRequest(method, path, strings.NewReader(secret))
			r.Header.Set("Authorization", "Bearer "+secret)
			r.Header.Set("Content-Type", MediaJSON)
			r.Header.Set("X-Request-Id", "quay-1")
			r.Header.Set("Traceparent", "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01")
			r.Header.Set("Tracestate", "quay="+secret)
			h.Handler().ServeHTTP(httptest.NewRecorder(), r)
			r.Header.Set("Authorization", "Basic "+secret)
			h.Handler().ServeHTTP(httptest.NewRecorder(), r)
		}
	}
	r := httptest.NewRequest(http.MethodGet, "/v1/designs", nil)
	h.secrets = append(h.secrets, hooks.NewSecret())
	misplaced := httptest.NewRequest(http.MethodGet, "/v1/hooks/"+h.secrets[len(h.secrets)-1], nil)
	h.Handler().ServeHTTP(httptest.NewRecorder(), misplaced)
	r.Header.Set("X-Request-Id", secret) // 41 letters, as a request id may have
	h.Handler().ServeHTTP(httptest.NewRecorder(), r)
	h.keepsSecrets(t)
}
