/* Starts the worker at once, draws the document that it sends into the page, and carries changes both ways, in order.
   The build puts `const BUILD = {…}` before this file. */

const WORDS = {
  cannotStart: (why) => `The calculator could not start, so the figures below do not follow what you type. ${why}`,
  wentWrong: (why) => `Something went wrong in the last step. ${why} What you entered is still here.`,
  webassembly: () =>
    "This browser cannot run WebAssembly, which it needs. Use a current Firefox, Chrome, Edge or Safari; if WebAssembly is switched off here, allow it for this page.",
  memory: () => "There was not enough memory. Close other tabs or programs and load the page again.",
  missing: () => "This page is being updated, and some of its files are of another version. Load the page again in a minute.",
  damaged: (file) =>
    `The file ${file} did not arrive as it should have. Load the page again; if that does not help, the copy on the server is damaged.`,
  unreachable: (file) => `The file ${file} could not be fetched. Check the connection and load the page again.`,
  worker: () => "The program that calculates could not be loaded.",
  message: () => "A message from the calculator could not be read.",
  again: "Load the page again",
  progress: (step, got, of) => `${step}: ${got} of ${of} MB`,
  newer: "A newer version of this page is ready. It comes with your next visit.",
  takeOver: "Load it now",
};

/* A worker made from a blob obeys this page's security policy; one made from a file obeys none. */
const held = takeHeld();
const alone = held.has(BUILD.rest); // this page is the single file: there is nothing to fetch
const blob = (text, type) => URL.createObjectURL(new Blob([text], { type }));
const folder = new URL("./", document.baseURI).href;
const canRun = typeof WebAssembly !== "undefined";
const worker = canRun && new Worker(blob(`self.FOLDER = "${folder}";\n${held.get("worker.js")}`, "text/javascript"));
if (alone && canRun) worker.postMessage({ type: "files", files: held });

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
if (canRun) {
  worker.onmessage = ({ data }) => {
    if (data.type === "mark") mark(data.name, data.at);
    else turn = turn.then(() => handlers[data.type](data)).catch((error) => trouble({ words: String(error), details: error?.stack }));
  };
  worker.onerror = (event) => trouble({ fatal: true, words: event.message, kind: event.message ? "program" : "worker", details: event.filename });
  worker.onmessageerror = () => trouble({ kind: "message" });
} else trouble({ fatal: true, kind: "webassembly" });

const handlers = {
  async progress({ step, got, of }) {
    await parsed;
    const bar = document.querySelector("#starting progress");
    if (!bar) return;
    bar.max = of;
    bar.value = got;
    const mega = (bytes) => (bytes / 1e6).toFixed(1);
    document.querySelector("#starting output").textContent =
      got < of ? WORDS.progress(step, mega(got), mega(of)) : `${step} …`;
  },
  async render({ docs, items, ids }) {
    await drawing;
    const [item] = JSON.parse(items);
    const documents = JSON.parse(docs.replaceAll(/[\w./]*panel\/[\w./]+\.css/g, address));
    item.root_ids = JSON.parse(ids);
    item.roots = Object.fromEntries(documents[item.docid].roots.map((root) => [root.id, placeFor(root).id]));
    const [views] = await Bokeh.embed.embed_items(documents, [item]);
    bokehDocument = [...views.roots.values()][0].model.document;
    bokehDocument.on_change(changed, false);
    worker.postMessage({ type: "rendered" });
    worker.postMessage({ type: "location", location: JSON.stringify(window.location) });
    document.getElementById("starting")?.remove();
    mark("document drawn");
    requestAnimationFrame(() => requestAnimationFrame(() => mark("document painted")));
    keep().catch((error) => console.warn(`This page is not kept for use without network: ${error.message}`));
  },
  patch({ patch, buffers }) {
    bokehDocument.apply_json_patch(patch, buffers);
  },
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

/* Says what is wrong and what to do. The first thing that kept the calculator from starting is the one to know. */
async function trouble({ fatal, kind, file, words = "", details }) {
  console.error(details || words || kind);
  if (over) return;
  over = Boolean(fatal);
  await parsed;
  const place = document.getElementById("trouble");
  const why = WORDS[kind]?.(file) ?? words;
  place.querySelector("p").textContent = (fatal ? WORDS.cannotStart : WORDS.wentWrong)(why);
  place.querySelector("pre").textContent = details || words || kind;
  place.hidden = false;
  if (kind === "damaged") navigator.serviceWorker?.controller?.postMessage("mend");
  if (!fatal) return;
  document.getElementById("starting")?.remove();
  if (kind === "webassembly") return;
  const again = document.createElement("button");
  Object.assign(again, { type: "button", textContent: WORDS.again, onclick: () => location.reload() });
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
  button.textContent = WORDS.takeOver;
  button.addEventListener("click", () => {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    next.postMessage("take over");
  });
  document.getElementById("update").replaceChildren(WORDS.newer, " ", button);
}
