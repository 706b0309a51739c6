/* Starts the worker at once, carries the page's messages to it and its answers back, and draws the charts that it sends.
   The build puts `const BUILD = {…}` and warm.js before this file. */

/* A worker made from a blob obeys this page's security policy; one made from a file obeys none. */
const held = takeHeld();
const alone = held.has(BUILD.late["rest.bundle"]); // this page is the single file: there is nothing to fetch
const blob = (text, type) => URL.createObjectURL(new Blob([text], { type }));
const folder = new URL("./", document.baseURI).href;
const canRun = typeof WebAssembly !== "undefined";
let worker, patience, isFromSnapshot;
if (canRun) begin(warm.how());

/* Starts Python, in place of one that may run already. */
function begin(how) {
  worker?.terminate();
  const about = `self.FOLDER = ${JSON.stringify(folder)}; self.HOW = ${JSON.stringify(how)};\n`;
  worker = new Worker(blob(about + held.get("worker.js"), "text/javascript"));
  if (alone) worker.postMessage({ type: "files", files: held });
  worker.onmessage = heard;
  worker.onerror = ({ message, filename }) =>
    patience ? giveUp(message) : trouble({ at: "at_start", words: message, kind: message ? "program" : "worker", details: filename });
  worker.onmessageerror = () => trouble({ at: "in_step", kind: "message" });
  isFromSnapshot = how.restore;
  if (isFromSnapshot) patience = setTimeout(giveUp, warm.PATIENCE_MS, "It took too long.");
}

addEventListener("pagehide", () => patience && warm.leftBefore());

/* Starts in the plain way after all. */
function giveUp(reason) {
  turn = turn.then(() => patience && beginPlainly(reason));
}

function beginPlainly(reason) {
  stopWaiting();
  console.info(`This start is a plain one, not from the snapshot: ${reason}`);
  warm.failed();
  begin({ ...warm.how(), restore: false });
  connect();
}

function stopWaiting() {
  clearTimeout(patience);
  patience = undefined;
}

/* Files that the page holds, all of them in the edition that is a single file: {name: text}. */
function takeHeld() {
  const elements = [...document.querySelectorAll("script[data-file]")];
  for (const element of elements) element.remove();
  return new Map(elements.map((element) => [element.dataset.file, element.textContent]));
}

/* The address of a file that the document links to. */
const address = (file) => (held.has(file) ? blob(held.get(file), "text/css") : file);
const mark = (name, at) => performance.mark(`pennyflat: ${name}`, at && { startTime: Math.max(0, at - performance.timeOrigin) });
mark("page script");

const parsed = new Promise((ready) => {
  if (document.readyState === "loading") addEventListener("DOMContentLoaded", ready);
  else ready();
});

parsed.then(() => warm.offer(document.getElementById("keep-warm")));
parsed.then(() => canRun && connect());

/* What is said before Python is up waits in the worker. */
function connect() {
  window.pennyflat.connect((message) => worker.postMessage({ type: "message", text: JSON.stringify(message) }));
}

let over = false; // whether the calculator could not start
let isReady = false, isDrawn = false; // to answer; the charts
let hasAnswered = false;
const later = []; // what is to be done once nothing that was typed waits any more
let bokehDocument; // set once they are drawn

/* What draws the charts is large, and not needed before Python has answered: first the page is shown. */
const drawing = alone ? parsed : parsed.then(shown).then(() => Promise.all(BUILD.drawing.map(loadScript)));
drawing.catch(() => {}); // told once there is something to draw

function shown() {
  return new Promise((done) => {
    setTimeout(done, 500); // a page that is not in front is not shown at all
    requestAnimationFrame(() => setTimeout(done));
  });
}

function loadScript(file) {
  return new Promise((loaded, failed) => {
    const script = document.createElement("script");
    Object.assign(script, { src: file, integrity: BUILD.sums[file], async: false, onload: loaded });
    script.onerror = async () => failed({ at: "charts", kind: await whatIsWrong(file), file: file.split("/").at(-1), details: file });
    document.head.append(script);
  });
}

const whatIsWrong = (file) => fetch(file, { method: "HEAD" }).then(({ ok }) => (ok ? "damaged" : "missing"), () => "unreachable");

/* One message after the other: drawing takes a while, and a change must not overtake it. */
let turn = Promise.resolve();
function heard({ data, target }) {
  if (data.type === "mark") mark(data.name, data.at);
  else
    turn = turn
      .then(() => target === worker && handlers[data.type](data)) // what a worker has said that is gone no longer counts
      .catch((error) => trouble({ at: "in_step", words: String(error), details: error?.stack }));
}
if (!canRun) trouble({ at: "at_start", kind: "webassembly" });

/* A text in the page's language; needs the page to be parsed. */
function wording(key, gaps = {}) {
  const texts = JSON.parse(document.getElementById("texts").content.textContent);
  return texts[key].replaceAll(/\{(\w+)\}/g, (_, name) => gaps[name]);
}

const handlers = {
  async progress({ step, got, of }) {
    await parsed;
    const bar = document.querySelector("#starting progress");
    if (!bar) return;
    bar.max = of;
    bar.value = got;
    if (step === "start.charts") for (const part of [...bar.labels, bar]) part.remove(); // nobody waits for them
    const mega = (bytes) => (bytes / 1e6).toFixed(1);
    document.querySelector("#starting output").textContent =
      step === "start.fetch" ? wording("start.fetched", { got: mega(got), of: mega(of) }) : wording(step);
  },
  ready() {
    stopWaiting();
    if (isFromSnapshot) warm.worked();
    isReady = true;
    if (!isFromSnapshot) tell("draw");
    settle();
  },
  answer: ({ text }) => window.pennyflat.take(JSON.parse(text)),
  /* From a snapshot, before Python is up: from a worker that does not come up it counts for nothing. */
  render(made) {
    const from = worker;
    Promise.all([drawing, quiet()])
      .then(shown)
      .then(() => worker === from && draw(made))
      .catch((error) => trouble({ at: "charts", words: String(error), details: error.stack, ...error }));
  },
  patch({ patch, buffers }) {
    bokehDocument.apply_json_patch(patch, buffers);
  },
  unusable: ({ details }) => beginPlainly(details),
  kept: ({ bytes }) => warm.kept(bytes),
  trouble,
};

/* The charts wait until nothing that was typed does. */
const quiet = () => new Promise((come) => (later.push(come), isQuiet() && goOn()));
const isQuiet = () => hasAnswered && !window.pennyflat.unanswered().length;
const goOn = () => later.splice(0).forEach((come) => come());
const tell = (type) => quiet().then(() => worker.postMessage({ type }));

document.addEventListener("pennyflat:answer", () => {
  hasAnswered = true;
  if (isQuiet()) goOn();
});

async function draw({ docs, items, ids }) {
  const [item] = JSON.parse(items);
  const documents = JSON.parse(docs.replaceAll(/[\w./]*panel\/[\w./]+\.css/g, address));
  item.root_ids = JSON.parse(ids);
  item.roots = Object.fromEntries(documents[item.docid].roots.map((root) => [root.id, placeFor(root).id]));
  const [views] = await Bokeh.embed.embed_items(documents, [item]);
  bokehDocument = [...views.roots.values()][0].model.document;
  tell("rendered");
  mark("charts drawn");
  requestAnimationFrame(() => requestAnimationFrame(() => mark("charts painted")));
  isDrawn = true;
  settle();
}

/* All is there. */
function settle() {
  if (!isReady || !isDrawn) return;
  document.getElementById("starting")?.remove();
  keep().catch((error) => console.warn(`This page is not kept for use without network: ${error.message}`));
}

/* A root is drawn into the element whose id is the root's name. */
function placeFor({ id, attributes: { name } = {} }) {
  const place = name && document.getElementById(name);
  if (place) {
    place.replaceChildren();
    return place;
  }
  const made = document.createElement("div");
  made.id = name || `root-${id}`;
  made.hidden = true;
  document.body.append(made);
  return made;
}

/* Says what is wrong and what to do. The first thing that kept the calculator from starting is the one to know.
   at, kind: ends of the keys of texts; of the kind "program", which said `words` itself, there is none. */
async function trouble({ at, kind = "program", file, words = "", details }) {
  if (isFromSnapshot) warm.failed(); // it may be the reason
  console.error(details || words || kind);
  if (over) return;
  over = at === "at_start";
  await parsed;
  const place = document.getElementById("trouble");
  const why = kind === "program" ? words : wording(`wrong.${kind}`, { file });
  place.querySelector("p").textContent = wording(`wrong.${at}`, { why });
  place.querySelector("summary").textContent = wording("wrong.details");
  place.querySelector("pre").textContent = details || words || kind;
  place.hidden = false;
  if (kind === "damaged") navigator.serviceWorker?.controller?.postMessage("mend");
  if (at === "in_step") return;
  document.getElementById("starting")?.remove();
  if (kind === "webassembly") return;
  const again = document.createElement("button");
  Object.assign(again, { type: "button", textContent: wording("wrong.again"), onclick: () => location.reload() });
  place.querySelector("p").append(" ", again);
}

/* Where it can, the browser keeps the page, so that it opens without network; see service.js. */
async function keep() {
  if (alone || !navigator.serviceWorker) return;
  const registration = await navigator.serviceWorker.register("service.js");
  const offer = () => registration.waiting && offerUpdate(registration.waiting);
  const follow = () => registration.installing?.addEventListener("statechange", offer);
  registration.addEventListener("updatefound", follow);
  follow();
  offer();
  // an installed page may stay open for weeks
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && registration.update().catch(() => {}));
}

function offerUpdate(next) {
  if (!navigator.serviceWorker.controller) return; // this page is from the network already
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = wording("update.take_over");
  button.addEventListener("click", () => {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    next.postMessage("take over");
  });
  document.getElementById("update").replaceChildren(wording("update.newer"), " ", button);
}
