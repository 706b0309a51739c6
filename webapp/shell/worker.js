/* Runs Python off the page's own thread, so that the page never stands still.
   The build puts `const BUILD = {…}`, where the files are and how large, and snapshot.js before this file. The page says in HOW
   whether to start from a snapshot and whether to keep one.

   To the page:   {type: "progress", step, got, of}   {type: "render", …}   {type: "patch", patch, buffers}
                  {type: "trouble", fatal, words, details}   {type: "mark", name, at}
                  {type: "restored"}   {type: "unusable", details}   {type: "kept", bytes}: about the snapshot, see snapshot.js
   From the page: {type: "rendered"}   {type: "location", location}   {type: "patch", patch}
   Messages are worked through one at a time in the order they came. */

const here = new URL("./", self.SCRIPT).href; // this file's folder: page.js says where it came from
const say = (type, fields, transfer) => self.postMessage({ type, ...fields }, transfer);
const mark = (name) => say("mark", { name, at: performance.timeOrigin + performance.now() });

/* What Panel makes of a Python dict on its way to the page. Panel has it as text, which would need eval: see bridge.py. */
self.toObject = (entries) => Object.fromEntries([...entries].map(([name, value]) => [name, value ?? null]));

let python, bridge;
mark("worker started");

/* Progress in bytes: the bundles as they come in, the files that the runtime fetches by itself when they are complete. */
const total = Object.values(BUILD.bytes).reduce((sum, bytes) => sum + bytes, 0);
let got = 0, step = "Fetching the calculator";
const progress = (more = 0, next = step) => {
  got += more;
  step = next;
  say("progress", { step, got: Math.min(got, total), of: total });
};

function arrived(file) {
  if (file in BUILD.bytes && !BUILD.bundles.includes(file)) progress(BUILD.bytes[file]);
}

new PerformanceObserver((list) => {
  for (const { name } of list.getEntries()) {
    const file = name.slice(here.length);
    if (name.startsWith(here)) arrived(file);
  }
}).observe({ type: "resource", buffered: true });

async function fetchBundle(file) {
  const answer = await fetch(here + file);
  if (!answer.ok) throw new Error(`The file ${file} could not be fetched (${answer.status}).`);
  const expected = BUILD.bytes[file], bytes = new Uint8Array(expected), reader = answer.body.getReader();
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    if (length + value.length <= expected) bytes.set(value, length);
    length += value.length;
    progress(value.length);
  }
  if (length !== expected) throw new Error(`The file ${file} is damaged: ${length} bytes of ${expected} arrived.`);
  mark(`${file} fetched`);
  return unpack(bytes);
}

/* Lay a bundle into Python's file system: each file is a view onto the bundle, nothing is copied. */
function install(FS, { index, body }) {
  for (const [folder, files] of index) {
    FS.mkdirTree(folder);
    const parent = FS.lookupPath(folder).node;
    for (const [name, start, length] of files) {
      const node = parent.node_ops.mknod(parent, name, 0o100644, 0);
      node.usedBytes = length;
      if (start === null) putOff(node, `${folder}/${name}`);
      else node.contents = body.subarray(start, start + length);
    }
  }
}

function unpack(bundle) {
  const size = new DataView(bundle.buffer).getUint32(0, true);
  return { index: JSON.parse(new TextDecoder().decode(bundle.subarray(4, 4 + size))), body: bundle.subarray(4 + size) };
}

/* Files that the start does not need lie in the last bundle, which is fetched when the first of them is read. Python reads
   without waiting, so the worker stands still until it has arrived. */
let rest; // path of a file to its bytes
const late = []; // the paths read from it

function putOff(node, path) {
  Object.defineProperty(node, "contents", {
    configurable: true,
    enumerable: true,
    get() {
      late.push(path);
      rest ??= fetchRest();
      return (this.contents = rest.get(path));
    },
    set(value) {
      Object.defineProperty(node, "contents", { value, writable: true, configurable: true, enumerable: true });
    },
  });
}

function fetchRest() {
  const request = new XMLHttpRequest();
  request.open("GET", here + BUILD.rest, false);
  request.responseType = "arraybuffer";
  request.send();
  if (request.status !== 200) throw new Error(`The file ${BUILD.rest} could not be fetched (${request.status}).`);
  const { index, body } = unpack(new Uint8Array(request.response));
  return new Map(
    index.flatMap(([folder, files]) =>
      files.map(([name, start, length]) => [`${folder}/${name}`, body.subarray(start, start + length)]),
    ),
  );
}

/* The bytes of a file in one of the bundles. */
async function bytesOf(path, bundles) {
  const slash = path.lastIndexOf("/"), place = path.slice(0, slash), sought = path.slice(slash + 1);
  for (const bundle of bundles) {
    const { index, body } = await bundle;
    const [, files = []] = index.find(([folder]) => folder === place) ?? [];
    const [, start = null, length] = files.find(([name]) => name === sought) ?? [];
    if (start !== null) return body.subarray(start, start + length);
  }
  throw new Error(`${path} is in none of the bundles.`);
}

async function start() {
  const [library, ...bundles] = BUILD.bundles.map(fetchBundle);
  for (const bundle of [library, ...bundles]) bundle.catch(() => {}); // awaited below; until then not "unhandled"
  const opening = HOW.restore && snapshots.open(HOW.key);
  if (opening) opening.then(({ about }) => say("render", { ...about.built, early: true })).catch(() => {}); // awaited below
  importScripts(`${here}runtime/pyodide.js`);
  python = await loadPyodide({
    indexURL: `${here}runtime/`,
    stdLibURL: `${here}runtime/stdlib.zip`, // an empty one
    fsInit: async (FS) => install(FS, await library),
    env: { HOME: "/pennyflat", PANEL_CDN_ROOT: "panel/", BOKEH_RESOURCES: "cdn", PYTHONDONTWRITEBYTECODE: "1" },
    ...(opening && snapshots.options(opening, (path) => bytesOf(path, bundles))),
  });
  mark("python ready");
  for (const bundle of bundles) install(python.FS, await bundle);
  mark("files in place");
  if (opening) resume((await opening).about);
  else await build();
}

/* Goes on where the snapshot was taken, if Python knows its answer. */
function resume({ expected }) {
  bridge = python.pyimport("bridge");
  bridge.refresh();
  if (bridge.answer() !== expected) throw new Error("Python does not come to the same answer as before.");
  mark("from snapshot");
  say("restored");
}

async function build() {
  progress(0, "Starting Python");
  python.runPython("import sys, importlib; sys.path[:0] = ['/pennyflat/webapp', '/pennyflat/core']");
  python.runPython("importlib.invalidate_caches()");
  bridge = python.pyimport("bridge");
  progress(0, "Loading the page's parts");
  bridge.load_panel();
  mark("panel imported");
  progress(0, "Working out the answer");
  const made = await bridge.build_document();
  mark("app built");
  const [docs, items, ids] = made.toJs(), built = { docs, items, ids };
  made.destroy();
  say("render", built);
  bridge.prepare();
  if (HOW.keep) setAside(built);
}

/* ---- A snapshot for the next start: taken at once, written when the page has been quiet for a while ---- */

const QUIET_MS = 4000;
let toKeep = null, quiet = 0;

function setAside(built) {
  try {
    toKeep = snapshots.take(python, { expected: bridge.answer(), built });
    mark("snapshot taken");
  } catch (error) {
    console.info(`The next start will be a plain one: ${error.message}`);
  }
}

function keepLater() {
  clearTimeout(quiet);
  if (toKeep) quiet = setTimeout(keep, QUIET_MS);
}

async function keep() {
  const snapshot = toKeep;
  toKeep = null;
  try {
    say("kept", { bytes: await snapshots.keep(HOW.key, snapshot) });
  } catch (error) {
    console.info(`No snapshot was kept: ${error.message}`);
  }
}

const handlers = {
  rendered() {
    bridge.link((patch, buffers) => say("patch", { patch, buffers }));
    mark("linked");
  },
  location: ({ location }) => bridge.locate(location),
  patch: ({ patch }) => bridge.apply(patch),
};

function tell(error, fatal) {
  const details = String(error?.message ?? error).trim(), last = details.split("\n").at(-1);
  const words = /out of memory|allocation failed/i.test(details)
    ? "There was not enough memory. Close other tabs or programs and load the page again."
    : last;
  say("trouble", { fatal, words, details });
}

let turn = start().catch((error) => {
  if (HOW.restore) say("unusable", { details: String(error?.message ?? error) });
  else tell(error, true);
  return new Promise(() => {}); // nothing after this can work
});
self.onmessage = ({ data }) => {
  turn = turn.then(() => handlers[data.type](data)).catch((error) => tell(error, false)).then(keepLater);
};
