// Sizes a pop-up with a Foldwright service. The form is built from what the
// service says of its mechanisms; the numbers begin with those of its examples.

const { service, key } = document.body.dataset;
const byId = (id) => document.getElementById(id);

const pause = 300; // ms after the last change before the service is asked
const patience = { least: 5, most: 60 }; // s before it is asked again, where nobody says when
const longest = 3600; // s; who says longer is asked then all the same

let catalogue, kind, design, entry; // entry: the place in the design of the mechanism that is sized
let sized; // the kind the form is for; behind kind until the example has come
let wanted = []; // downloads asked for and not yet given
let asked = new AbortController();
let timer, tick;
let due = 0; // when the service may be asked again, ms
let wait = patience.least;

// -- The service

class Refused extends Error {
  constructor(answer, problem) {
    super(problem.detail ?? problem.title ?? "The service did not answer as expected.");
    this.status = answer.status;
    this.errors = problem.errors ?? [];
    this.wait = waitSaid(answer.headers.get("Retry-After"));
  }
}

/** The seconds of Retry-After, which is a number or a date (RFC 9110, 10.2.3). */
function waitSaid(text) {
  if (!text) return undefined;
  const seconds = /^\d+$/.test(text) ? Number(text) : (Date.parse(text) - Date.now()) / 1000;
  return Number.isNaN(seconds) ? undefined : Math.min(Math.max(1, Math.ceil(seconds)), longest);
}

/** No answer, or the browser does not let this site read it. */
class Unreached extends Error {}

/** What the service answers, read as "json" or "blob". */
async function ask(path, as, options) {
  try {
    const answer = await fetch(new URL(path, service), { ...options, referrerPolicy: "no-referrer" });
    if (answer.ok) return await answer[as]();
    throw new Refused(answer, await answer.json().catch(() => ({})));
  } catch (fault) {
    throw fault instanceof TypeError ? new Unreached("", { cause: fault }) : fault; // fetch throws no other
  }
}

const read = (path, signal) => ask(path, "json", { signal });

const post = (path, body, accept, signal) => ask(path, accept === "application/json" ? "json" : "blob", {
  method: "POST", signal, body: JSON.stringify({ design, ...body }),
  headers: { Accept: accept, Authorization: `Bearer ${key}`, "Content-Type": "application/json" },
});

// -- JSON pointers (RFC 6901)

const steps = (pointer) => pointer.split("/").slice(1).map((s) => s.replaceAll("~1", "/").replaceAll("~0", "~"));
const valueAt = (pointer) => steps(pointer).reduce((at, step) => at?.[step], design);

function setAt(pointer, value) {
  const path = steps(pointer);
  const last = path.pop();
  let at = design;
  for (const step of path) {
    // A side left out is the mirror of the other, so that is where it begins.
    at[step] ??= step === "right" && at.left ? structuredClone(at.left) : {};
    at = at[step];
  }
  if (value !== undefined) at[last] = value;
  else if (Array.isArray(at)) at[last] = null; // its place stays: the service says what belongs there
  else delete at[last];
}

// -- The form

function make(tag, properties = {}, ...children) {
  const { data, ...rest } = properties;
  const element = Object.assign(document.createElement(tag), rest);
  Object.assign(element.dataset, data);
  element.append(...children.filter((c) => c !== null && c !== undefined));
  return element;
}

const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
const words = (name) => capital(name.replaceAll("_", " "));
const sentence = (text) => capital(text.replace(/\s*\((length|degrees)\)/g, "").replace(/[^.]$/, "$&."));
const unitOf = (p) => ({ mm: "mm", deg: "°" })[p.unit] ?? "";
const withUnit = (value, p) => `${value}${p.unit === "deg" ? "°" : p.unit ? ` ${p.unit}` : ""}`;

function hint(p) {
  const said = [sentence(p.description)];
  const number = ["length", "angle", "number", "integer"].includes(p.quantity);
  if (number && p.minimum !== undefined && p.maximum !== undefined) {
    said.push(`${withUnit(p.minimum, p)} to ${withUnit(p.maximum, p)}.`);
  }
  if (!p.required && p.default !== undefined && typeof p.default !== "boolean") {
    said.push(`${number ? withUnit(p.default, p) : words(String(p.default))} where left out.`);
  }
  return said.join(" ");
}

const notSized = new Set(["id", "kind", "on"]); // what the example settles

function group(title, pointer, parameters, ...first) {
  const set = make("fieldset", { className: "group", data: { pointer } }, make("legend", { textContent: title }), ...first);
  const plain = parameters.filter((p) => p.required || p.quantity !== "object" || valueAt(`${pointer}/${p.name}`) !== undefined);
  for (const p of plain) set.append(part(p, `${pointer}/${p.name}`));
  const rest = parameters.filter((p) => !plain.includes(p));
  if (rest.length) {
    set.append(make("details", {}, make("summary", { textContent: "More to set" }), ...rest.map((p) => part(p, `${pointer}/${p.name}`))));
  }
  return set;
}

function field(p, pointer) {
  const { id, input, said } = control(p, pointer);
  const told = make("span", { id: `${id}-hint`, className: "hint", textContent: hint(p) });
  if (p.quantity === "flag") return make("div", { className: "field" }, make("label", { className: "tick" }, input, words(p.name)), told, said);
  return make("div", { className: "field" }, make("label", { htmlFor: id, textContent: words(p.name) }), told,
    make("div", { className: "value" }, input, unitOf(p) ? make("span", { textContent: unitOf(p) }) : null), said);
}

/** What is typed into, and where it is said what is wrong with that. */
function control(p, pointer) {
  const id = `f${pointer.replaceAll("/", "-")}`;
  const input = inputOf(p, valueAt(pointer));
  Object.assign(input, { id, name: pointer });
  input.dataset.pointer = pointer;
  input.setAttribute("aria-describedby", `${id}-hint ${id}-said`);
  if (p.required) input.required = true;
  input.addEventListener("input", () => change(p, pointer, input));
  return { id, input, said: make("div", { id: `${id}-said`, className: "said" }) };
}

function inputOf(p, value) {
  switch (p.quantity) {
    case "length": case "angle": case "number": case "integer":
      return make("input", {
        type: "number", inputMode: "decimal", step: p.quantity === "integer" ? 1 : "any",
        min: p.minimum ?? "", max: p.maximum ?? "", value: value ?? "", placeholder: p.default ?? "",
      });
    case "choice": {
      const select = make("select");
      if (!p.required && p.default === undefined) select.append(new Option("As it suits", ""));
      for (const c of p.choices) select.append(new Option(words(c), c));
      select.value = value ?? p.default ?? "";
      return select;
    }
    case "flag":
      return make("input", { type: "checkbox", checked: value ?? p.default ?? false });
    case "outline": case "profile":
      return make("textarea", { spellcheck: false, value: value ?? "" });
    default:
      return make("input", { type: "text", value: value ?? "" });
  }
}

function change(p, pointer, input) {
  let value = p.quantity === "flag" ? input.checked : input.value;
  if (value === "") {
    value = undefined;
  } else if (input.type === "number") {
    value = Number(value);
  }
  if (value === undefined && input.validity.badInput) value = null; // letters: the service says what it takes
  setAt(pointer, value);
  soon();
}

// -- Lists: of points, and of things with fields

function part(p, pointer) {
  if (p.quantity === "object") {
    const intro = p.description ? make("p", { className: "intro", textContent: sentence(p.description) }) : null;
    return group(words(p.name), pointer, p.fields ?? [], intro);
  }
  if (p.quantity === "points") return points(p, pointer);
  if (p.quantity === "list" && p.fields) return list(p, pointer);
  return field(p, pointer);
}

function list(p, pointer) {
  const items = valueAt(pointer) ?? [];
  return make("details", { data: { pointer } }, make("summary", { textContent: `${words(p.name)} (${items.length})` }),
    make("p", { className: "intro", textContent: sentence(p.description) }),
    ...items.map((_, i) => listed(p, pointer, i)), adder(p, pointer, `Add to ${words(p.name).toLowerCase()}`, () => another(p, items)));
}

function listed(p, pointer, i) {
  const at = `${pointer}/${i}`;
  const item = make("details", { className: "item", data: { pointer: at } }, make("summary"),
    ...p.fields.map((f) => part(f, `${at}/${f.name}`)), remover(p, pointer, i, "Remove this"));
  const entitle = () => {
    const values = p.fields.filter((f) => f.required && !f.fields && f.quantity !== "points").map((f) => valueAt(`${at}/${f.name}`));
    item.querySelector("summary").textContent = `${i + 1}: ${valueAt(`${at}/id`) ?? values.join(", ")}`;
    item.setAttribute("aria-label", `${words(p.name)} ${i + 1}`);
  };
  item.addEventListener("input", entitle);
  entitle();
  return item;
}

function points(p, pointer) {
  const items = valueAt(pointer) ?? [];
  return make("fieldset", { className: "group points", data: { pointer } }, make("legend", { textContent: words(p.name) }),
    make("p", { className: "hint", textContent: hint(p) }),
    ...items.map((_, i) => point(p, pointer, i)), adder(p, pointer, "Add a point", () => between(items)));
}

function point(p, pointer, i) {
  const axes = ["u", "v"].map((axis, n) => ({ axis, ...control({ quantity: "number", required: true }, `${pointer}/${i}/${n}`) }));
  const row = make("div", { className: "point", role: "group", data: { pointer: `${pointer}/${i}` } },
    make("span", { className: "which", textContent: i + 1 }),
    ...axes.map(({ axis, input }) => make("label", {}, axis, input)), remover(p, pointer, i, "×"), ...axes.map(({ said }) => said));
  row.setAttribute("aria-label", `${words(p.name)}, point ${i + 1}`);
  return row;
}

function adder(p, pointer, text, next) {
  const button = make("button", { type: "button", className: "add", textContent: text });
  button.setAttribute("aria-label", `${text}: ${words(p.name)}`);
  button.disabled = (valueAt(pointer) ?? []).length >= p.maximum;
  button.addEventListener("click", () => {
    const items = [...valueAt(pointer) ?? [], next()];
    const added = relist(p, pointer, items).querySelector(`[data-pointer="${CSS.escape(`${pointer}/${items.length - 1}`)}"]`);
    if (added.matches("details")) added.open = true;
    added.querySelector("input, select, textarea").focus();
  });
  return button;
}

function remover(p, pointer, i, text) {
  const button = make("button", { type: "button", className: "remove", textContent: text });
  button.setAttribute("aria-label", `${text === "×" ? "Remove" : text}: ${words(p.name)} ${i + 1}`);
  button.addEventListener("click", () => {
    const items = valueAt(pointer).toSpliced(i, 1);
    const shown = relist(p, pointer, items.length || p.required ? items : undefined);
    const next = shown.querySelector(`[data-pointer="${CSS.escape(`${pointer}/${Math.min(i, items.length - 1)}`)}"]`);
    (next?.querySelector("summary") ?? next?.querySelector(".remove") ?? shown.querySelector(":scope > .add")).focus();
  });
  return button;
}

/** Shows a list anew, since the places of what is in it have changed. */
function relist(p, pointer, items) {
  setAt(pointer, items);
  const shown = part(p, pointer);
  if (shown.matches("details")) shown.open = true;
  document.querySelector(`#fields [data-pointer="${CSS.escape(pointer)}"]`).replaceWith(shown);
  soon();
  return shown;
}

/** A copy of the last with a name of its own, or the least there can be. */
function another(p, items) {
  if (!items.length) return Object.fromEntries(p.fields.filter((f) => f.required).map((f) => [f.name, least(f)]));
  const item = structuredClone(items.at(-1));
  for (let n = 2; item.id && items.some(({ id }) => id === item.id); n++) {
    const longest = p.fields.find((f) => f.name === "id").maximum;
    item.id = `${items.at(-1).id.replace(/_\d+$/, "").slice(0, longest - 3)}_${n}`;
  }
  return item;
}

function least(f) {
  switch (f.quantity) {
    case "points":
      return f.minimum > 2 ? [[0, 0], [40, 0], [40, 30], [0, 30]] : [[0, 0]];
    case "list":
      return [];
    case "text":
      return f.name === "id" ? "first" : "";
    default:
      return f.default ?? f.choices?.[0] ?? f.minimum ?? 0;
  }
}

/** Halfway from the last corner back to the first, so that the shape stays. */
const between = (points) => points.length ? [0, 1].map((n) => (points.at(-1)[n] + points[0][n]) / 2) : [0, 0];

// -- The form as a whole

function showForm() {
  const document_ = catalogue.document;
  const called = (name) => document_.find((p) => p.name === name);
  const on = valueAt(`${entry}/on`);
  byId("fields").replaceChildren(
    group(words(kind.kind), entry, kind.parameters.filter((p) => !notSized.has(p.name)),
      make("p", { className: "intro", textContent: `${kind.summary} Here it stands on the ${on.fold ?? on.panel?.replace(/^page\.(.*)/, "$1 page") ?? `${on.page} page`}.` }),
      conditions()),
    part(called("spread"), "/spread"),
    part(called("paper"), "/paper"),
  );
}

function conditions() {
  return make("details", {}, make("summary", { textContent: "What it has to satisfy" }),
    make("ul", {}, ...kind.conditions.map((c) => make("li", { textContent: c }))));
}

function showKinds() {
  byId("kinds").replaceChildren(...catalogue.kinds.map((k) => {
    const input = make("input", { type: "radio", name: "kind", value: k.kind, checked: k === kind });
    input.addEventListener("change", () => { kind = k; soon(0); });
    return make("label", { className: "kind", title: k.summary },
      make("img", { src: new URL(k.diagram, service), alt: "", loading: "lazy", referrerPolicy: "no-referrer" }),
      input, make("span", { textContent: words(k.kind) }));
  }));
  // In a narrow window they are a strip, wider than it.
  byId("kinds").querySelector(":checked").scrollIntoView({ block: "nearest", inline: "center" });
}

// -- Asking

/** Asks when whoever types has paused, and not before the service may be asked. */
function soon(least = pause) {
  asked.abort();
  clearTimeout(timer);
  document.body.setAttribute("aria-busy", "true");
  timer = setTimeout(work, Math.max(least, due - Date.now()));
}

/** Brings the page up to what is chosen and typed, from wherever it is. */
const work = () => attempt(async (signal) => {
  if (!catalogue) await begin(signal);
  if (sized !== kind) await takeUp(signal);
  const [, report] = await Promise.all([picture(signal), post("/v1/check", {}, "application/json", signal)]);
  signal.throwIfAborted(); // nothing was left to abort, but another thing is looked at
  show(report);
  await give(signal);
});

async function attempt(what) {
  asked.abort();
  const { signal } = asked = new AbortController();
  document.body.setAttribute("aria-busy", "true");
  try {
    await what(signal);
    wait = patience.least;
    byId("status").hidden = true;
  } catch (fault) {
    if (signal.aborted) return;
    excuse(fault);
  }
  document.body.removeAttribute("aria-busy");
}

async function begin(signal) {
  catalogue = await read("/v1/mechanisms", signal);
  kind = catalogue.kinds.find((k) => k.kind === "v_fold") ?? catalogue.kinds[0];
  showKinds();
}

async function takeUp(signal) {
  design = await read(`/v1/examples/${kind.example}`, signal);
  entry = `/mechanisms/${design.mechanisms.findIndex((m) => m.kind === kind.kind)}`;
  const opens = design.spread.opens_to ?? 180;
  Object.assign(byId("opening"), { max: opens, value: opens * 5 / 6 });
  showForm();
  sized = kind;
}

async function picture(signal) {
  const opening = Number(byId("opening").value);
  const animated = byId("move").getAttribute("aria-pressed") === "true";
  byId("opened").textContent = `${opening}°`;
  const how = animated ? { animated: true, width: 900 } : { opening, width: 900 };
  const drawn = await post("/v1/view", how, "image/svg+xml", signal);
  const image = byId("picture");
  const before = image.src;
  signal.throwIfAborted();
  image.src = URL.createObjectURL(drawn);
  await image.decode();
  if (before) URL.revokeObjectURL(before);
  image.alt = `${sized.summary} ${animated ? "It opens and shuts." : `Opened to ${opening} degrees.`}`;
  image.hidden = false;
  byId("caption").textContent = design.title ? `After our example “${design.title}”.` : "";
}

const titles = { ok: "It shuts and opens as it should", warnings: "It works, but look at this", errors: "It does not work yet" };

function show(report) {
  byId("verdict").textContent = titles[report.verdict];
  tell(report.findings);
  allow(true);
}

function allow(yes) {
  for (const button of byId("downloads").children) button.disabled = !yes;
}

/** Shows findings at their fields, and those of no field here below the picture. */
function tell(findings) {
  for (const old of document.querySelectorAll(".finding")) old.remove();
  for (const old of document.querySelectorAll("[aria-invalid]")) old.removeAttribute("aria-invalid");
  const places = new Map();
  for (const finding of findings) {
    const at = placeOf(finding.pointer);
    places.set(at, [...(places.get(at) ?? []), finding]);
  }
  for (const [at, some] of places) tellAt(at, some);
}

/** The nearest place in the form that a pointer is at or in; "" for none. */
function placeOf(pointer) {
  for (let at = pointer; at; at = at.slice(0, at.lastIndexOf("/"))) {
    if (document.querySelector(`#fields [data-pointer="${CSS.escape(at)}"]`)) return at;
  }
  return "";
}

function tellAt(place, findings) {
  const at = place && document.querySelector(`#fields [data-pointer="${CSS.escape(place)}"]`);
  const notes = findings.map((f) => note(f, at ? "div" : "li"));
  if (!at) {
    byId("findings").append(...notes);
  } else if (at.matches("input, select, textarea")) {
    byId(`${at.id}-said`).replaceChildren(...notes);
    if (findings.some((f) => f.severity === "error")) at.setAttribute("aria-invalid", "true");
    reveal(at);
  } else {
    at.querySelector("legend, summary").after(...notes);
    reveal(at);
  }
}

/** Opens whatever hides a place with something to say. */
function reveal(place) {
  for (let at = place.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
}

function note({ severity, message, remedy }, tag) {
  const item = make(tag, { className: `finding ${severity}` }, make("p", { textContent: message }));
  if (remedy) {
    const button = make("button", { type: "button", textContent: `Change it: ${remedy.text}` });
    button.addEventListener("click", () => cure(remedy));
    item.append(button);
  }
  return item;
}

function cure(remedy) {
  for (const { pointer, value } of remedy.changes) setAt(pointer, value);
  showForm();
  document.querySelector(`#fields [data-pointer="${CSS.escape(remedy.changes[0].pointer)}"]`)?.focus();
  soon(0);
}

// -- When it does not go well

function excuse(fault) {
  asked.abort(); // the picture or the check, whichever is still on its way
  byId("verdict").textContent = "Not looked at";
  tell([]);
  allow(false);
  const { status } = fault;
  if (!(fault instanceof Unreached || fault instanceof Refused)) {
    say("This page has a fault. Please tell the workshop.");
    throw fault; // for the console
  }
  if (!status && !navigator.onLine) return say("You are offline. What you have typed stays, and we go on as soon as you are back.");
  if (!status) return later(fault, "The folding service cannot be reached, or does not know this site.");
  if (status === 429) return later(fault, "That was much in a short time, from you or from others at your connection.");
  if (status === 503) return later(fault, "The folding service has its hands full.");
  if (status >= 500) return later(fault, "The folding service has a fault.");
  wanted = [];
  if (status === 401 || status === 403) return say("The folding service does not know this site. Please tell the workshop; what you have typed stays.");
  const findings = fault.errors.map((e) => ({ severity: "error", message: sentence(e.detail.replace(", not null", "")), pointer: e.pointer.replace(/^\/design(?=\/|$)/, "") }));
  if (!findings.length) return say(fault.message);
  byId("verdict").textContent = "Please look at what you typed";
  byId("status").hidden = true;
  tell(findings);
}

/** Tries again when the service says, else with more and more patience. */
function later(fault, why) {
  due = Date.now() + (fault.wait ?? wait) * 1000;
  if (!fault.wait) wait = Math.min(2 * wait, patience.most);
  soon();
  const left = make("span", { id: "left" });
  left.setAttribute("aria-live", "off"); // not read out at every second
  count(left);
  say(`${why} What you have typed stays. We try again by ourselves `, left, ".");
}

function count(left) {
  const seconds = Math.ceil((due - Date.now()) / 1000);
  left.textContent = seconds > 0 ? `in ${seconds} ${seconds === 1 ? "second" : "seconds"}` : "now";
  clearTimeout(tick);
  if (seconds > 0) tick = setTimeout(count, 1000, left);
}

function say(...text) {
  byId("status").replaceChildren(...text);
  byId("status").hidden = false;
}

// -- Downloads

function want({ dataset }) {
  wanted.push(dataset);
  if (!document.body.hasAttribute("aria-busy")) attempt(give);
}

async function give(signal) {
  while (wanted.length) {
    const { media, ending } = wanted[0];
    const url = URL.createObjectURL(await post("/v1/pattern", {}, media, signal));
    make("a", { href: url, download: `${sized.kind}.${ending}` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 60_000);
    wanted.shift();
  }
}

// -- Beginning

byId("form").addEventListener("submit", (event) => event.preventDefault());
byId("opening").addEventListener("input", () => {
  byId("move").setAttribute("aria-pressed", "false");
  byId("opened").textContent = `${byId("opening").value}°`;
  soon();
});
byId("move").addEventListener("click", () => {
  const button = byId("move");
  button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
  soon(0);
});
for (const button of byId("downloads").children) button.addEventListener("click", () => want(button));
addEventListener("online", () => soon());
// A picture that moves by itself is nothing for those who ask for less of that.
byId("move").hidden = matchMedia("(prefers-reduced-motion: reduce)").matches;
work();
