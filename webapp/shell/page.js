/* Starts the worker at once, draws the document that it sends into the page, and carries changes both ways, in order.
   The build puts `const BUILD = {…}` and warm.js before this file. */

/* A worker made from a blob obeys this page's security policy; one made from a file obeys none. */
const script = new URL("worker.js", document.baseURI).href;
const blob = (text, type) => URL.createObjectURL(new Blob([text], { type }));
const held = takeHeld();
const code = held.get("worker.js") ?? `self.SCRIPT = "${script}"; importScripts(self.SCRIPT);`;
let worker, patience, isFromSnapshot;
begin(warm.how());

/* Starts Python, in place of one that may run already. */
function begin(how) {
  worker?.terminate();
  worker = new Worker(blob(`self.HOW = ${JSON.stringify(how)}; ${code}`, "text/javascript"));
  if (held.size) worker.postMessage({ type: "files", files: held });
  worker.onmessage = heard;
  worker.onerror = ({ message, filename }) =>
    patience
      ? giveUp(message)
      : trouble({ fatal: true, words: message || "The file worker.js could not be loaded.", details: filename });
  worker.onmessageerror = () => trouble({ words: "A message from the calculator could not be read." });
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

/* In the edition that is a single file, the page holds all others: {name: text}. Elsewhere it holds none. */
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

let bokehDocument; // set once the document is drawn
const outbox = []; // changes of this moment, sent together

/* One message after the other: drawing takes a while, and a change must not overtake it. */
let turn = Promise.resolve();
function heard({ data, target }) {
  if (data.type === "mark") mark(data.name, data.at);
  else
    turn = turn
      .then(() => target === worker && handlers[data.type](data)) // what a worker has said that is gone no longer counts
      .catch((error) => trouble({ words: String(error), details: error?.stack }));
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
      got < of ? `${step}: ${mega(got)} of ${mega(of)} MB` : `${step} …`;
  },
  /* early: Python is not up yet, and may not come up from the snapshot that this document is from. */
  async render({ docs, items, ids, early }) {
    await parsed;
    const [item] = JSON.parse(items);
    const documents = JSON.parse(docs.replaceAll(/panel\/[\w./]+\.css/g, address));
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

async function trouble({ fatal, words, details }) {
  if (isFromSnapshot) warm.failed(); // it may be the reason
  console.error(details || words);
  await parsed;
  const place = document.getElementById("trouble");
  place.querySelector("p").textContent = fatal
    ? `The calculator could not start, so the figures below are only the example. ${words}`
    : `Something went wrong in the last step. ${words} What you entered is still here.`;
  place.querySelector("pre").textContent = details ?? words;
  place.hidden = false;
  if (fatal) document.getElementById("starting")?.remove();
}

if (typeof WebAssembly === "undefined")
  trouble({ fatal: true, words: "This browser cannot run WebAssembly, which it needs. A current Firefox, Chrome, Edge or Safari can." });
