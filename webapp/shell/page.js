/* Starts the worker at once, draws the document that it sends into the page, and carries changes both ways, in order.
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
    patience ? giveUp(message) : trouble({ fatal: true, words: message, kind: message ? "program" : "worker", details: filename });
  worker.onmessageerror = () => trouble({ kind: "message" });
  isFromSnapshot = how.restore;
  if (isFromSnapshot) patience = setTimeout(giveUp, warm.PATIENCE_MS, "It took too long.");
}

addEventListener("pagehide", () => patience && warm.leftBefore());

/* Starts in the plain way after all, once what is being drawn is drawn. */
function giveUp(reason) {
  turn = turn.then(() => patience && beginPlainly(reason));
}

function beginPlainly(reason) {
  stopWaiting();
  console.info(`This start is a plain one, not from the snapshot: ${reason}`);
  warm.failed();
  window.pennyflat?.hear(false);
  bokehDocument?.remove_on_change(changed);
  for (const view of [...(self.Bokeh?.index.roots ?? [])]) view.remove();
  begin({ ...warm.how(), restore: false });
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

/* Panel loads a component's module through es-module-shims, which is for browsers that lack import maps and needs eval.
   The page has no import map to add, and every browser that can run it can import a module. */
window.importShim = (address) => import(address);
window.importShim.addImportMap = () => {};

const parsed = new Promise((ready) => {
  if (document.readyState === "loading") addEventListener("DOMContentLoaded", ready);
  else ready();
});

parsed.then(() => warm.offer(document.getElementById("keep-warm")));

let over = false; // whether the calculator could not start
let bokehDocument; // set once the document is drawn
const outbox = []; // changes of this moment, sent together

/* What draws the charts is large, and not needed before Python has answered: first the page is shown. */
const drawing = alone ? parsed : parsed.then(shown).then(() => Promise.all(BUILD.drawing.map(loadScript)));
drawing.catch(trouble);

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
    script.onerror = async () => failed({ fatal: true, kind: await whatIsWrong(file), file: file.split("/").at(-1), details: file });
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
      .catch((error) => trouble({ words: String(error), details: error?.stack }));
}
if (!canRun) trouble({ fatal: true, kind: "webassembly" });

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
    const mega = (bytes) => (bytes / 1e6).toFixed(1);
    document.querySelector("#starting output").textContent =
      got < of ? wording("start.fetched", { got: mega(got), of: mega(of) }) : wording(step);
  },
  /* early: Python is not up yet, and may not come up from the snapshot that this document is from. */
  async render({ docs, items, ids, early }) {
    await drawing;
    const [item] = JSON.parse(items);
    const documents = JSON.parse(docs.replaceAll(/[\w./]*panel\/[\w./]+\.css/g, address));
    item.root_ids = JSON.parse(ids);
    item.roots = Object.fromEntries(documents[item.docid].roots.map((root) => [root.id, placeFor(root).id]));
    const [views] = await Bokeh.embed.embed_items(documents, [item]);
    bokehDocument = [...views.roots.values()][0].model.document;
    bokehDocument.on_change(changed, false);
    window.pennyflat.hear(true);
    worker.postMessage({ type: "rendered" });
    worker.postMessage({ type: "location", location: JSON.stringify(window.location) });
    if (!early) document.getElementById("starting")?.remove();
    mark("document drawn");
    requestAnimationFrame(() => requestAnimationFrame(() => mark("document painted")));
    keep().catch((error) => console.warn(`This page is not kept for use without network: ${error.message}`));
  },
  patch({ patch, buffers }) {
    bokehDocument.apply_json_patch(patch, buffers);
  },
  restored() {
    stopWaiting();
    warm.worked();
    document.getElementById("starting")?.remove();
  },
  unusable: ({ details }) => beginPlainly(details),
  kept: ({ bytes }) => warm.kept(bytes),
  trouble,
};

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

/* What came from Python is marked as not to be sent back. Anything else goes, also what is said in answer to it. */
function changed(event) {
  if (!event.sync) return;
  if (outbox.push(event) > 1) return;
  queueMicrotask(() => worker.postMessage({ type: "patch", patch: bokehDocument.create_json_patch(outbox.splice(0)) }));
}

/* Says what is wrong and what to do. The first thing that kept the calculator from starting is the one to know.
   kind: "program", which said `words` itself, or the end of the key of a text. */
async function trouble({ fatal, kind = "program", file, words = "", details }) {
  if (isFromSnapshot) warm.failed(); // it may be the reason
  console.error(details || words || kind);
  if (over) return;
  over = Boolean(fatal);
  await parsed;
  const place = document.getElementById("trouble");
  const why = kind === "program" ? words : wording(`wrong.${kind}`, { file });
  place.querySelector("p").textContent = wording(fatal ? "wrong.at_start" : "wrong.in_step", { why });
  place.querySelector("summary").textContent = wording("wrong.details");
  place.querySelector("pre").textContent = details || words || kind;
  place.hidden = false;
  if (kind === "damaged") navigator.serviceWorker?.controller?.postMessage("mend");
  if (!fatal) return;
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
