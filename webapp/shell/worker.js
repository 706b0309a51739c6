/* Runs Python off the page's own thread, so that the page never stands still.
   The build puts `const BUILD = {…}`, where the files are, how large, and their sums, and sum.js and snapshot.js before this
   file. The page says in HOW whether to start from a snapshot and whether to keep one.

   To the page:   {type: "progress", step, got, of}   {type: "render", …}   {type: "patch", patch, buffers}
                  {type: "trouble", fatal, kind, file, words, details}   {type: "mark", name, at}
                  {type: "restored"}   {type: "unusable", details}   {type: "kept", bytes}: about the snapshot, see snapshot.js
   A step is the key of a text; so is the kind of a trouble, after "wrong.", but for "program", which says it in words.
   From the page: {type: "rendered"}   {type: "location", location}   {type: "patch", patch}
   Messages are worked through one at a time in the order they came. */

const here = self.FOLDER; // of the page: page.js says where that is
const say = (type, fields, transfer) => self.postMessage({ type, ...fields }, transfer);
const mark = (name) => say("mark", { name, at: performance.timeOrigin + performance.now() });

/* What Panel makes of a Python dict on its way to the page. Panel has it as text, which would need eval: see bridge.py. */
self.toObject = (entries) => Object.fromEntries([...entries].map(([name, value]) => [name, value ?? null]));

let python, bridge;
mark("worker started");

/* ---- Fetching: everything at once, each file held to its sum ---- */

/* kind: "missing" (there is no such file any more), "damaged", or "unreachable"; see the texts "wrong.…". */
class FileTrouble extends Error {
  constructor(kind, file, words) {
    super(`${file}: ${words}`);
    Object.assign(this, { kind, file });
  }
}

let failed; // of what goes wrong beside what is waited for
const failure = new Promise((_, reject) => (failed = reject));
failure.catch(() => {}); // start() looks at it
const checks = [];

/* Progress in bytes: the bundles as they come in, the files that the runtime fetches by itself when they are complete. */
const total = Object.values(BUILD.bytes).reduce((sum, bytes) => sum + bytes, 0);
let got = 0, step = "start.fetch";
const progress = (more = 0, next = step) => {
  got += more;
  step = next;
  say("progress", { step, got: Math.min(got, total), of: total });
};

function arrived(file) {
  if (file in BUILD.bytes && !BUILD.bundles.includes(file)) progress(BUILD.bytes[file]);
}

const ask = self.fetch;
const asked = new Map();
if (!self.HELD) for (const file of Object.keys(BUILD.bytes)) asked.set(file, answerFor(file));

async function answerFor(file) {
  const answer = await ask(here + file).catch((error) => {
    throw new FileTrouble("unreachable", file, error.message);
  });
  if (!answer.ok) throw new FileTrouble("missing", file, `the server said ${answer.status}`);
  return answer;
}

for (const answer of asked.values()) answer.catch(failed);

/* What the runtime fetches by itself is under way already. */
self.fetch = async (request, options) => {
  const file = String(request.url ?? request).slice(here.length);
  const early = asked.get(file);
  if (!early) return ask(request, options);
  asked.delete(file);
  const answer = await early;
  check(file, answer.clone().arrayBuffer().then((bytes) => (arrived(file), bytes)));
  return answer;
};

/* Compares sums while the start goes on: it must not be waited for, but nothing is shown before it is done. */
function check(file, bytes) {
  const checked = Promise.resolve(bytes).then(async (data) => {
    if (file in BUILD.bytes && data.byteLength !== BUILD.bytes[file])
      throw new FileTrouble("damaged", file, `${data.byteLength} bytes of ${BUILD.bytes[file]} arrived`);
    if (!self.crypto.subtle) return; // over plain HTTP from another machine there are no sums
    if (BUILD.sums[file] !== (await sumOf(data)))
      throw new FileTrouble("damaged", file, "its SHA-256 sum is another");
  });
  checked.catch(failed);
  checks.push(checked);
  return checked;
}

async function fetchBundle(file) {
  const answer = await (asked.get(file) ?? ask(here + file));
  const expected = BUILD.bytes[file], bytes = new Uint8Array(expected), reader = answer.body.getReader();
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    if (length + value.length <= expected) bytes.set(value, length);
    length += value.length;
    progress(value.length);
  }
  if (length !== expected) throw new FileTrouble("damaged", file, `${length} bytes of ${expected} arrived`);
  if (!self.HELD) check(file, bytes);
  mark(`${file.split("/").at(-1)} fetched`);
  return unpack(bytes);
}

/* Scripts are only run when their sum is right. */
async function runScript(file) {
  const bytes = await (await asked.get(file)).arrayBuffer();
  await check(file, bytes);
  arrived(file);
  const address = URL.createObjectURL(new Blob([bytes], { type: "text/javascript" }));
  importScripts(address);
  URL.revokeObjectURL(address);
}

/* The runtime only logs if WebAssembly cannot be set up, and then waits for ever. */
const instantiate = WebAssembly.instantiateStreaming;
WebAssembly.instantiateStreaming = (...given) =>
  instantiate(...given).catch(async (error) => {
    await Promise.all(checks).catch(() => {}); // a damaged file is the better reason
    failed(error);
    throw error;
  });

/* ---- Files ---- */

/* Lay a bundle into Python's file system: each file is a view onto the bundle, nothing is copied. */
function install(FS, { index, body }) {
  for (const [folder, files] of index) {
    FS.mkdirTree(folder);
    const parent = FS.lookupPath(folder).node;
    for (const [name, start, length] of files) {
      const node = parent.node_ops.mknod(parent, name, 0o100644, 0);
      node.usedBytes = length;
      if (typeof start === "string") putOff(FS, node, `${folder}/${name}`, start);
      else node.contents = body.subarray(start, start + length);
    }
  }
}

function unpack(bundle) {
  const size = new DataView(bundle.buffer).getUint32(0, true);
  return { index: JSON.parse(new TextDecoder().decode(bundle.subarray(4, 4 + size))), body: bundle.subarray(4 + size) };
}

/* Files that the start does not need lie in bundles of their own, each fetched when the first file of it is read. Python
   reads without waiting, so the worker stands still until it has arrived. If it does not, Python is told that the file cannot
   be read, and tries again the next time. */
const rest = new Map(); // name of a bundle to its files: path to bytes
const late = []; // the paths read from them

function putOff(FS, node, path, bundle) {
  Object.defineProperty(node, "contents", {
    configurable: true,
    enumerable: true,
    get() {
      late.push(path);
      if (!rest.has(bundle)) rest.set(bundle, fetchLate(FS, bundle));
      return (this.contents = rest.get(bundle).get(path));
    },
    set(value) {
      Object.defineProperty(node, "contents", { value, writable: true, configurable: true, enumerable: true });
    },
  });
}

const EIO = 29; // the number that Emscripten gives to an error in reading

function fetchLate(FS, bundle) {
  const request = new XMLHttpRequest();
  const file = BUILD.late[bundle];
  request.open("GET", here + file, false);
  request.responseType = "arraybuffer";
  try {
    request.send();
  } catch (error) {
    console.error(String(error)); // there is no connection
  }
  if (request.status !== 200) throw new FS.ErrnoError(EIO);
  if (!self.HELD) check(file, request.response).catch((error) => tell(error, false));
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
    const [, start, length] = files.find(([name]) => name === sought) ?? [];
    if (typeof start === "number") return body.subarray(start, start + length);
  }
  throw new Error(`${path} is in none of the bundles.`);
}

/* ---- Starting ---- */

async function start() {
  const [library, ...bundles] = BUILD.bundles.map(fetchBundle);
  for (const bundle of [library, ...bundles]) bundle.catch(failed);
  const opening = HOW.restore && snapshots.open(HOW.key);
  if (opening) opening.then(({ about }) => say("render", { ...about.built, early: true })).catch(() => {}); // awaited below
  if (!self.HELD) await Promise.all(["pyodide.js", "pyodide.asm.js"].map((name) => runScript(BUILD.runtime + name)));
  python = await loadPyodide({
    indexURL: here + BUILD.runtime,
    stdLibURL: `${here}${BUILD.runtime}stdlib.zip`, // an empty one
    fsInit: async (FS) => install(FS, await library),
    env: { HOME: "/pennyflat", PANEL_CDN_ROOT: BUILD.panel, BOKEH_RESOURCES: "cdn", PYTHONDONTWRITEBYTECODE: "1" },
    ...(opening && snapshots.options(opening, (path) => bytesOf(path, bundles))),
  });
  mark("python ready");
  for (const bundle of bundles) install(python.FS, await bundle);
  mark("files in place");
  if (opening) await resume((await opening).about);
  else await build();
}

/* Goes on where the snapshot was taken, if Python knows its answer. */
async function resume({ expected }) {
  bridge = python.pyimport("bridge");
  bridge.refresh();
  if (bridge.answer() !== expected) throw new Error("Python does not come to the same answer as before.");
  await Promise.all(checks);
  mark("from snapshot");
  say("restored");
}

async function build() {
  progress(0, "start.python");
  python.runPython("import sys, importlib; sys.path[:0] = ['/pennyflat/webapp', '/pennyflat/core']");
  python.runPython("importlib.invalidate_caches()");
  bridge = python.pyimport("bridge");
  progress(0, "start.parts");
  bridge.load_panel();
  mark("panel imported");
  progress(0, "start.answer");
  const made = await bridge.build_document();
  mark("app built");
  const [docs, items, ids] = made.toJs(), built = { docs, items, ids };
  made.destroy();
  await Promise.all(checks);
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
  const details = String(error?.message ?? error).trim();
  const memory = error instanceof RangeError || /out of memory|allocation failed|MemoryError/i.test(details);
  const kind = error?.kind ?? (memory ? "memory" : "program");
  say("trouble", { fatal, kind, file: error?.file?.split("/").at(-1), words: details.split("\n").at(-1), details });
}

/* What comes of damaged files may be anything: that they are is the better reason. */
const betterReason = (error) => Promise.all(checks).then(() => error, (found) => found);

let turn = Promise.race([start(), failure]).catch(async (error) => {
  const reason = await betterReason(error);
  if (HOW.restore) say("unusable", { details: String(reason?.message ?? reason) });
  else tell(reason, true);
  return new Promise(() => {}); // nothing after this can work
});
self.onmessage = ({ data }) => {
  turn = turn.then(() => handlers[data.type](data)).catch((error) => tell(error, false)).then(keepLater);
};
