// A client of the Foldwright service: openapi-fetch with the types of the
// contract, the key, and waiting for a busy service.
import createFetchClient, { type Client } from "openapi-fetch";
import type { components, paths } from "./schema.js";

export type { components, paths } from "./schema.js";

/** Everything the contract names, as in Schemas["Design"]. */
export type Schemas = components["schemas"];
export type Design = Schemas["Design"];
export type Mechanism = Schemas["Mechanism"];
/** One kind of mechanism, as in MechanismOf<"v_fold">. */
export type MechanismOf<Kind extends Mechanism["kind"]> = Extract<Mechanism, { kind: Kind }>;
export type Finding = Schemas["Finding"];
export type Problem = Schemas["Problem"];

/** What answers are read as; drawings and pages are asked for with Accept and `parseAs`. */
type Data = "application/json" | "application/problem+json";

export interface Options {
  /** Address of the service. */
  baseUrl: string;
  /** What the service asks for; left out for one on the own machine, or for what is open to everyone. */
  key?: string;
  /** How often one request is sent at most, while the service is busy. Four where left out. */
  tries?: number;
  /** The longest wait, in seconds, that is worth while. Thirty where left out. */
  longestWait?: number;
}

/** A client. Each call gives `data`, or `error`, which is a Problem with a JSON pointer for each field. */
export function createClient({ baseUrl, key, tries = 4, longestWait = 30 }: Options): Client<paths, Data> {
  const client = createFetchClient<paths, Data>({ baseUrl, fetch: (request) => send(request, tries, longestWait) });
  client.use({
    onRequest({ request }) {
      if (key !== undefined) request.headers.set("Authorization", `Bearer ${key}`);
      // So that what is sent again is not done twice.
      if (!safe(request) && !request.headers.has("Idempotency-Key")) {
        request.headers.set("Idempotency-Key", crypto.randomUUID());
      }
      return request;
    },
  });
  return client;
}

/** Reads the events of a job: `for await (const job of jobEvents(answer.data))`, of an answer parsed as a stream. */
export async function* jobEvents(stream: ReadableStream<Uint8Array>): AsyncGenerator<Schemas["JobRecord"]> {
  let rest = "";
  const decoder = new TextDecoder();
  for await (const chunk of stream) {
    const lines = (rest + decoder.decode(chunk, { stream: true })).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) {
      if (line.startsWith("data:")) yield JSON.parse(line.slice("data:".length)) as Schemas["JobRecord"];
    }
  }
}

const safe = (request: Request) => request.method === "GET" || request.method === "HEAD";

/** Sends again when a busy service says when (429, 503 with Retry-After). */
async function send(request: Request, tries: number, longestWait: number): Promise<Response> {
  for (let attempt = 1; ; attempt++) {
    const answer = await fetch(request.clone());
    const told = answer.headers.get("Retry-After");
    const wait = Number(told);
    const again = (answer.status === 429 || answer.status === 503) && told !== null && wait >= 0 && wait <= longestWait;
    if (!again || attempt >= tries) return answer;
    await answer.body?.cancel();
    await pause(wait * 1000, request.signal);
  }
}

function pause(milliseconds: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    const stop = () => {
      clearTimeout(timer);
      reject(signal.reason);
    };
    const timer = setTimeout(() => {
      signal.removeEventListener("abort", stop);
      resolve();
    }, milliseconds);
    signal.addEventListener("abort", stop, { once: true });
  });
}
