// Sizes a pop-up with a Foldwright service. The form is built from what the
// service says of its mechanisms; the numbers begin with those of its examples.

const { service, key } = document.body.dataset;
const byId = (id) => document.getElementById(id);

const pause = 300; // ms after the last change before the service is asked
const retryAfter = 5; // s, where nobody says when

let catalogue, kind, design, entry; // entry: the place in the design of the mechanism that is sized
let asked = new AbortController();
let timer, retry;

// -- The service

class Refused extends Error {
  constructor(answer, problem) {
    super(problem.detail ?? problem.title ?? "The service did not answer as expected.");
    this.status = answer.status;
    this.errors = problem.errors ?? [];
    this.wait = Number(answer.headers.get("Retry-After")) || retryAfter;
  }
}

async function ask(path, options) {
  const answer = await fetch(new URL(path, service), { ...options, referrerPolicy: "no-referrer" });
  if (!answer.ok) throw new Refused(answer, await answer.json().catch(() => ({})));
  return answer;
}

const read = async (path) => (await ask(path)).json();

const post = (path, body, accept, signal) => ask(path, {
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
  if (value === undefined) delete at[last];
  else at[last] = value;
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

function part(p, pointer) {
  if (p.quantity === "object") {
    const intro = p.description ? make("p", { className: "intro", textContent: sentence(p.description) }) : null;
    return group(words(p.name), pointer, p.fields ?? [], intro);
  }
  if (p.quantity === "list" && p.fields) return list(p, pointer);
  return field(p, pointer);
}

function list(p, pointer) {
  const items = valueAt(pointer) ?? [];
  const set = make("details", { data: { pointer } }, make("summary", { textContent: `${words(p.name)} (${items.length})` }),
    make("p", { className: "intro", textContent: sentence(p.description) }));
  items.forEach((item, i) => set.append(group(item.id ? `${words(p.name)}: ${item.id}` : `${words(p.name)}, ${i + 1}`, `${pointer}/${i}`, p.fields)));
  return set;
}

function field(p, pointer) {
  const id = `f${pointer.replaceAll("/", "-")}`;
  const input = inputOf(p, valueAt(pointer));
  Object.assign(input, { id, name: pointer });
  input.dataset.pointer = pointer;
  input.setAttribute("aria-describedby", `${id}-hint ${id}-said`);
  if (p.required) input.required = true;
  input.addEventListener("input", () => change(p, pointer, input));
  const said = make("div", { id: `${id}-said`, className: "said" });
  const told = make("span", { id: `${id}-hint`, className: "hint", textContent: hint(p) });
  if (p.quantity === "flag") return make("div", { className: "field" }, make("label", { className: "tick" }, input, words(p.name)), told, said);
  return make("div", { className: "field" }, make("label", { htmlFor: id, textContent: words(p.name) }), told,
    make("div", { className: "value" }, input, unitOf(p) ? make("span", { textContent: unitOf(p) }) : null), said);
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
    case "points": case "outline": case "profile":
      return make("textarea", { spellcheck: false, value: typeof value === "string" ? value : value === undefined ? "" : JSON.stringify(value) });
    default:
      return make("input", { type: "text", value: value ?? "" });
  }
}

function change(p, pointer, input) {
  let value = p.quantity === "flag" ? input.checked : input.value;
  input.setCustomValidity("");
  if (value === "") {
    value = undefined;
  } else if (input.type === "number") {
    value = Number(value);
  } else if (p.quantity === "points") {
    try {
      value = JSON.parse(value);
    } catch {
      return say(pointer, [{ severity: "error", message: "Points are written as [[0, 0], [40, 0], [40, 30]]." }]);
    }
  }
  if (value === undefined && input.validity.badInput) value = null; // letters: the service says what it takes
  setAt(pointer, value);
  askSoon();
}

function showForm() {
  const document_ = catalogue.document;
  const called = (name) => document_.find((p) => p.name === name);
  const on = valueAt(`${entry}/on`);
  byId("fields").replaceChildren(
    group(words(kind.kind), entry, kind.parameters.filter((p) => !notSized.has(p.name)),
      make("p", { className: "intro", textContent: `${kind.summary} Here it stands on the ${on.fold ?? on.panel ?? `${on.page} page`}.` }),
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
    const input = make("input", { type: "radio", name: "kind", value: k.kind });
    input.addEventListener("change", () => choose(k));
    return make("label", { className: "kind", title: k.summary },
      make("img", { src: new URL(k.diagram, service), alt: "", loading: "lazy", referrerPolicy: "no-referrer" }),
      input, make("span", { textContent: words(k.kind) }));
  }));
}

async function choose(chosen) {
  kind = chosen;
  try {
    const example = await read(`/v1/examples/${chosen.example}`);
    if (kind !== chosen) return; // another was chosen meanwhile
    design = example;
    entry = `/mechanisms/${design.mechanisms.findIndex((m) => m.kind === kind.kind)}`;
    const opens = design.spread.opens_to ?? 180;
    Object.assign(byId("opening"), { max: opens, value: opens * 5 / 6 });
    showForm();
    work();
  } catch (fault) {
    excuse(fault, () => choose(chosen));
  }
}

// -- Pictures and findings

function askSoon() {
  clearTimeout(timer);
  timer = setTimeout(work, pause);
}

async function work() {
  if (!design) return;
  clearTimeout(timer);
  clearTimeout(retry);
  asked.abort();
  asked = new AbortController();
  const { signal } = asked;
  document.body.setAttribute("aria-busy", "true");
  try {
    const [, report] = await Promise.all([picture(signal), post("/v1/check", {}, "application/json", signal).then((a) => a.json())]);
    show(report);
    byId("status").hidden = true;
  } catch (fault) {
    if (signal.aborted) return;
    asked.abort();
    excuse(fault, work);
  }
  document.body.removeAttribute("aria-busy");
}

async function picture(signal) {
  const opening = Number(byId("opening").value);
  const animated = byId("move").getAttribute("aria-pressed") === "true";
  byId("opened").textContent = `${opening}°`;
  const how = animated ? { animated: true, width: 900 } : { opening, width: 900 };
  const answer = await post("/v1/view", how, "image/svg+xml", signal);
  const image = byId("picture");
  const before = image.src;
  image.src = URL.createObjectURL(await answer.blob());
  await image.decode();
  if (before) URL.revokeObjectURL(before);
  image.alt = `${kind.summary} ${animated ? "It opens and shuts." : `Opened to ${opening} degrees.`}`;
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
  for (const [at, some] of places) say(at, some);
}

/** The nearest place in the form that a pointer is at or in; "" for none. */
function placeOf(pointer) {
  for (let at = pointer; at; at = at.slice(0, at.lastIndexOf("/"))) {
    if (document.querySelector(`#fields [data-pointer="${CSS.escape(at)}"]`)) return at;
  }
  return "";
}

function say(place, findings) {
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
  work();
}

// -- When it does not go well

function excuse(fault, again) {
  byId("verdict").textContent = "Not looked at";
  tell([]);
  allow(false);
  const later = (seconds) => { clearTimeout(retry); retry = setTimeout(again, seconds * 1000); };
  if (!(fault instanceof Refused)) {
    later(retryAfter);
    return status(navigator.onLine
      ? "The folding service cannot be reached, or does not know this site. We try again in a moment; what you have typed stays."
      : "You are offline. What you have typed stays, and we go on as soon as you are back.");
  }
  if (fault.status === 429 || fault.status === 503) {
    later(fault.wait);
    return status(`Many people are folding just now. We try again in ${fault.wait} ${fault.wait === 1 ? "second" : "seconds"}.`);
  }
  if (fault.status === 401 || fault.status === 403) {
    return status("The folding service does not know this site. Please tell the workshop.");
  }
  const findings = fault.errors.map((e) => ({ severity: "error", message: sentence(e.detail), pointer: e.pointer.replace(/^\/design(?=\/|$)/, "") }));
  if (!findings.length) return status(fault.message);
  byId("verdict").textContent = "Please look at what you typed";
  byId("status").hidden = true;
  tell(findings);
}

function status(text) {
  Object.assign(byId("status"), { textContent: text, hidden: false });
}

// -- Downloads

async function download({ dataset: { media, ending } }) {
  try {
    const answer = await post("/v1/pattern", {}, media);
    const url = URL.createObjectURL(await answer.blob());
    make("a", { href: url, download: `${kind.kind}.${ending}` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 60_000);
  } catch (fault) {
    excuse(fault, work);
  }
}

// -- Beginning

async function begin() {
  try {
    catalogue = await read("/v1/mechanisms");
    byId("status").hidden = true;
    showKinds();
    (document.querySelector("#kinds input[value=v_fold]") ?? document.querySelector("#kinds input")).click();
  } catch (fault) {
    excuse(fault, begin);
  }
}

byId("form").addEventListener("submit", (event) => event.preventDefault());
byId("opening").addEventListener("input", () => {
  byId("move").setAttribute("aria-pressed", "false");
  byId("opened").textContent = `${byId("opening").value}°`;
  askSoon();
});
byId("move").addEventListener("click", () => {
  const button = byId("move");
  button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
  work();
});
for (const button of byId("downloads").children) button.addEventListener("click", () => download(button));
addEventListener("online", () => (catalogue ? work() : begin()));
// A picture that moves by itself is nothing for those who ask for less of that.
byId("move").hidden = matchMedia("(prefers-reduced-motion: reduce)").matches;
begin();
