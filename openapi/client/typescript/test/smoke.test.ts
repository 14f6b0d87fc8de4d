// Runs against a service whose address and keys are in the environment; a Go
// test starts it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { createClient, jobEvents, type Design, type Mechanism, type MechanismOf, type Problem } from "../src/index.js";

const baseUrl = given("FOLDWRIGHT_URL");
const client = createClient({ baseUrl, key: given("FOLDWRIGHT_WRITE_KEY") });

function given(name: string): string {
  const value = process.env[name];
  if (value === undefined) throw new Error(`${name} is not set`);
  return value;
}

/** A tent whose right side is wider than the left by some mm: it shuts only when that is nothing. */
function jetty(wider: number): Design {
  const tent: MechanismOf<"parallel_fold"> = {
    id: "jetty", kind: "parallel_fold", on: { fold: "gutter" }, from: 20, to: 70,
    left: { base_offset: 30, panel_width: 50 }, right: { base_offset: 30, panel_width: 50 + wider },
  };
  return { title: "Jetty", units: "mm", spread: { page_width: 120, page_height: 160 }, mechanisms: [tent] };
}

/** What `kind` says decides which fields there are; the compiler holds this to the contract. */
function widthOf(mechanism: Mechanism): number | undefined {
  return mechanism.kind === "parallel_fold" ? mechanism.left.panel_width : undefined;
}

test("a kind has only its own fields", () => {
  // @ts-expect-error a V-fold has no panel width
  const wrong: MechanismOf<"v_fold"> = { id: "v", kind: "v_fold", on: { fold: "gutter" }, from: 20, to: 70 };
  assert.equal(widthOf(wrong), undefined);
  const first = jetty(0).mechanisms?.[0];
  assert.ok(first);
  assert.equal(widthOf(first), 50);
});

test("health and the catalogue", async () => {
  const visitor = createClient({ baseUrl });
  assert.equal((await visitor.GET("/healthz")).response.status, 200);
  const { data } = await visitor.GET("/v1/mechanisms");
  assert.ok(data?.kinds.some((k) => k.kind === "v_fold" && k.parameters.some((p) => p.name === "ridge_length")));
});

test("solve", async () => {
  const { data } = await client.POST("/v1/solve", { body: { design: jetty(0), openings: [0, 180] } });
  // Sides of 50 mm that stand 30 mm from the gutter: sqrt(50² - 30²) mm high.
  assert.ok(Math.abs((data?.poses[1]?.height ?? 0) - 40) < 1e-3);
});

test("check, and a remedy", async () => {
  const { data } = await client.POST("/v1/check", { body: { design: jetty(5) } });
  assert.equal(data?.verdict, "errors");
  const remedy = data.findings.find((f) => f.code === "cannot_shut")?.remedy;
  assert.ok(remedy?.changes.length);
});

test("a pattern in three formats", async () => {
  for (const [media, begins] of [["image/svg+xml", "<?xml"], ["image/vnd.dxf", "0"], ["application/pdf", "%PDF-"]] as const) {
    const { data, response } = await client.POST("/v1/pattern", {
      body: { design: jetty(0) }, headers: { Accept: media }, parseAs: "text",
    });
    assert.equal(response.headers.get("Content-Type")?.split(";")[0], media);
    assert.ok(String(data).trimStart().startsWith(begins), `${media} begins with ${String(data).slice(0, 20)}`);
  }
});

test("a problem points at its field", async () => {
  const wrong = jetty(0);
  wrong.spread.page_width = -120;
  const { error, response } = await client.POST("/v1/check", { body: { design: wrong } });
  assert.equal(response.status, 422);
  const problem: Problem | undefined = error;
  assert.equal(problem?.errors?.[0]?.pointer, "/design/spread/page_width");
});

test("store, change, versions, and a stale change", async () => {
  const made = await client.POST("/v1/designs", { body: jetty(5) });
  assert.equal(made.response.status, 201);
  const id = made.data?.id ?? "";
  const etag = made.response.headers.get("ETag") ?? "";
  const path = { id };
  const next = await client.PUT("/v1/designs/{id}", { params: { path, header: { "If-Match": etag } }, body: jetty(0) });
  assert.equal(next.data?.version, 2);
  const stale = await client.PUT("/v1/designs/{id}", { params: { path, header: { "If-Match": etag } }, body: jetty(1) });
  assert.equal(stale.response.status, 412);
  const versions = await client.GET("/v1/designs/{id}/versions", { params: { path } });
  assert.deepEqual(versions.data?.versions.map((v) => v.version), [2, 1]);

  const shared = await client.POST("/v1/designs/{id}/shares", { params: { path }, body: { valid_days: 1 } });
  const token = shared.data?.url?.split("/").pop() ?? "";
  const seen = await createClient({ baseUrl }).GET("/v1/shared/{token}", { params: { path: { token } } });
  assert.equal(seen.response.status, 200);
});

test("a job and its events", async () => {
  const made = await client.POST("/v1/jobs", {
    body: {
      operation: "vary",
      request: { design: jetty(0), axes: [{ pointer: "/mechanisms/0/right/panel_width", from: 50, to: 54, steps: 3 }] },
    },
  });
  const job = made.data?.id ?? "";
  const events = await client.GET("/v1/jobs/{job}/events", { params: { path: { job } }, parseAs: "stream" });
  const states: string[] = [];
  for await (const record of jobEvents(events.data as ReadableStream<Uint8Array>)) states.push(record.state);
  assert.equal(states.at(-1), "done");
  const result = await client.GET("/v1/jobs/{job}/result", { params: { path: { job } } });
  assert.equal(result.response.status, 200);
});

test("keys are refused what they may not", async () => {
  assert.equal((await createClient({ baseUrl }).GET("/v1/designs")).response.status, 401);
  const reader = createClient({ baseUrl, key: given("FOLDWRIGHT_READ_KEY") });
  const refused = await reader.POST("/v1/designs", { body: jetty(0) });
  assert.equal(refused.response.status, 403);
  assert.ok(refused.error?.detail);
});
