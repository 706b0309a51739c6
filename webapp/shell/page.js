/* Starts the worker at once, draws the document that it sends into the page, and carries changes both ways, in order.
   The build puts `const BUILD = {…}` before this file. */

/* A worker made from a blob obeys this page's security policy; one made from a file obeys none. */
const script = new URL("worker.js", document.baseURI).href;
const blob = (text, type) => URL.createObjectURL(new Blob([text], { type }));
const held = takeHeld();
const worker = new Worker(
  blob(held.get("worker.js") ?? `self.SCRIPT = "${script}"; importScripts(self.SCRIPT);`, "text/javascript"),
);
if (held.size) worker.postMessage({ type: "files", files: held });

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

let bokehDocument; // set once the document is drawn
const outbox = []; // changes of this moment, sent together

/* One message after the other: drawing takes a while, and a change must not overtake it. */
let turn = Promise.resolve();
worker.onmessage = ({ data }) => {
  if (data.type === "mark") mark(data.name, data.at);
  else turn = turn.then(() => handlers[data.type](data)).catch((error) => trouble({ why: String(error), details: error?.stack }));
};
worker.onerror = (event) =>
  trouble({ fatal: true, why: event.message || ["wrong.script", { file: "worker.js" }], details: event.filename });
worker.onmessageerror = () => trouble({ why: ["wrong.message"] });

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
  async render({ docs, items, ids }) {
    await parsed;
    const [item] = JSON.parse(items);
    const documents = JSON.parse(docs.replaceAll(/panel\/[\w./]+\.css/g, address));
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

/* `why` is what a program said, or the key of a text with its gaps. */
async function trouble({ fatal, why, details }) {
  console.error(details || why);
  await parsed;
  const place = document.getElementById("trouble"), said = Array.isArray(why) ? wording(...why) : why;
  place.querySelector("p").textContent = wording(fatal ? "wrong.at_start" : "wrong.in_step", { why: said });
  place.querySelector("summary").textContent = wording("wrong.details");
  place.querySelector("pre").textContent = details ?? said;
  place.hidden = false;
  if (fatal) document.getElementById("starting")?.remove();
}

if (typeof WebAssembly === "undefined")
  trouble({ fatal: true, why: ["wrong.browser"] });
