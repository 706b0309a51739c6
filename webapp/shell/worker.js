/* Runs Python off the page's own thread, so that the page never stands still.
   The build puts `const BUILD = {…}`, where the files are, how large, and their sums, and sum.js and snapshot.js before this
   file. The page says in HOW whether to start from a snapshot and whether to keep one.

   First Python learns to answer the page. What draws the charts takes longer to load; that begins when the page says "draw",
   and goes in steps between which the page is answered.

   To the page:   {type: "progress", step, got, of}   {type: "ready"}, to answer   {type: "answer", text}
                  {type: "render", …}   {type: "patch", patch, buffers}: the charts and what changes in them
                  {type: "trouble", at, kind, file, words, details}   {type: "mark", name, at}
                  {type: "unusable", details}   {type: "kept", bytes}: about the snapshot, see snapshot.js
   A step is the key of a text; so are `at`, of a trouble, and its kind, after "wrong.", but for "program", which says it in words.
   From the page: {type: "message", text}   {type: "draw"}   {type: "rendered"}
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
const checks = [], checksOfCharts = [];

/* Progress in bytes: the bundles as they come in, the files that the runtime fetches by itself when they are complete. */
const PROGRESS_MS = 100; // between two messages about it
const total = Object.values(BUILD.bytes).reduce((sum, bytes) => sum + bytes, 0);
const bundles = [...BUILD.bundles, ...BUILD.charts];
let got = 0, step = "start.fetch", told = 0;
function progress(more = 0, next = step) {
  got += more;
  const now = performance.now();
  if (next === step && now - told < PROGRESS_MS) return;
  step = next;
  told = now;
  say("progress", { step, got: Math.min(got, total), of: total });
}

function arrived(file) {
  if (file in BUILD.bytes && !bundles.includes(file)) progress(BUILD.bytes[file]);
}

const WASM = `${BUILD.runtime}pyodide.asm.wasm`;
const ask = self.fetch;
const asked = new Map();
const runtime = Object.keys(BUILD.bytes).filter((file) => !bundles.includes(file));
const [LIBRARY, OWN] = BUILD.bundles, [COMPILED, CHARTS] = BUILD.charts;
const inMemory = [LIBRARY, CHARTS]; // of a Python from a snapshot: they are put off until something else in them is read
const first = HOW.restore ? [...runtime, COMPILED, OWN] : [LIBRARY, OWN, ...runtime];
if (!self.HELD) for (const file of first) asked.set(file, answerFor(file));

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
  if (file === WASM) return new Response(); // see below
  const early = asked.get(file);
  return early ? taken(file, await early) : ask(request, options);
};

/* A file that is read while its sum is compared. */
function taken(file, answer) {
  asked.delete(file);
  check(file, answer.clone().arrayBuffer().then((bytes) => (arrived(file), bytes))).catch(failed);
  return answer;
}

/* Python's WebAssembly is compiled from the first moment on; the runtime would begin once its scripts have run. Besides, it only
   logs if that fails, and then waits for ever. */
async function compile() {
  const answer = await (self.HELD ? ask(here + WASM) : asked.get(WASM));
  return WebAssembly.compileStreaming(self.HELD ? answer : taken(WASM, answer));
}

async function instantiate(module, imports) {
  return { module, instance: await WebAssembly.instantiate(module, imports) };
}

const compiling = compile();
WebAssembly.instantiateStreaming = (_, imports) => {
  const made = compiling.then((module) => instantiate(module, imports));
  made.catch(failed);
  return made;
};
compiling.catch(failed);

/* Compares sums while the start goes on: it must not be waited for, but nothing is shown before it is done. */
function check(file, bytes) {
  const checked = Promise.resolve(bytes).then(async (data) => {
    if (file in BUILD.bytes && data.byteLength !== BUILD.bytes[file])
      throw new FileTrouble("damaged", file, `${data.byteLength} bytes of ${BUILD.bytes[file]} arrived`);
    if (!self.crypto.subtle) return; // over plain HTTP from another machine there are no sums
    if (BUILD.sums[file] !== (await sumOf(data)))
      throw new FileTrouble("damaged", file, "its SHA-256 sum is another");
  });
  checked.catch(() => {}); // whoever goes on awaits all of them
  (BUILD.charts.includes(file) && !first.includes(file) ? checksOfCharts : checks).push(checked);
  return checked;
}

async function fetchBundle(file) {
  const answer = await (asked.get(file) ?? (self.HELD ? ask(here + file) : answerFor(file)));
  const bytes = HOW.restore ? new Uint8Array(await answer.arrayBuffer()) : await readThrough(answer, BUILD.bytes[file]);
  if (bytes.length !== BUILD.bytes[file]) throw new FileTrouble("damaged", file, `${bytes.length} bytes of ${BUILD.bytes[file]} arrived`);
  if (!self.HELD) check(file, bytes).catch(first.includes(file) ? failed : () => {});
  mark(`${file.split("/").at(-1)} fetched`);
  return unpack(file, bytes);
}

/* The bytes of an answer, of which `expected` should come, telling how many have come. It takes longer than without. */
async function readThrough(answer, expected) {
  const bytes = new Uint8Array(expected), reader = answer.body.getReader();
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    if (length + value.length <= expected) bytes.set(value, length);
    length += value.length;
    progress(value.length);
  }
  return length === expected ? bytes : { length };
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

/* ---- Files ---- */

/* Lay a bundle into Python's file system: each file is a view onto the bundle, nothing is copied. Without the bundle's body its
   files are put off. */
function install(FS, { file, index, body }) {
  for (const [folder, files] of index) {
    FS.mkdirTree(folder);
    const parent = FS.lookupPath(folder).node;
    for (const [name, start, length] of files) {
      const node = parent.node_ops.mknod(parent, name, 0o100644, 0);
      node.usedBytes = length;
      if (typeof start === "string") putOff(FS, node, `${folder}/${name}`, BUILD.late[start]);
      else if (body) node.contents = body.subarray(start, start + length);
      else putOff(FS, node, `${folder}/${name}`, file);
    }
  }
}

function unpack(file, bytes) {
  const size = new DataView(bytes.buffer).getUint32(0, true);
  return { file, index: JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + size))), body: bytes.subarray(4 + size) };
}

/* Files that the start does not need lie in bundles of their own, each fetched when the first file of it is read. Python
   reads without waiting, so the worker stands still until it has arrived. If it does not, Python is told that the file cannot
   be read, and tries again the next time. */
const rest = new Map(); // bundle to its files: path to bytes
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

function fetchLate(FS, file) {
  const request = new XMLHttpRequest();
  request.open("GET", here + file, false);
  request.responseType = "arraybuffer";
  try {
    request.send();
  } catch (error) {
    console.error(String(error)); // there is no connection
  }
  if (request.status !== 200) throw new FS.ErrnoError(EIO);
  if (!self.HELD) check(file, request.response).catch((error) => tell(error, "in_step"));
  const { index, body } = unpack(file, new Uint8Array(request.response));
  return new Map(
    index.flatMap(([folder, files]) =>
      files.map(([name, start, length]) => [`${folder}/${name}`, body.subarray(start, start + length)]),
    ),
  );
}

/* The bytes of a compiled library by its path. */
async function bytesOfLibrary(path) {
  const { index, body } = await bundle(COMPILED);
  const slash = path.lastIndexOf("/"), place = path.slice(0, slash), sought = path.slice(slash + 1);
  const [, files = []] = index.find(([folder]) => folder === place) ?? [];
  const [, start, length] = files.find(([name]) => name === sought) ?? [];
  if (typeof start !== "number") throw new Error(`${path} is not there.`);
  return body.subarray(start, start + length);
}

/* ---- Starting ---- */

const fetching = new Map(); // bundle to what becomes of it

function bundle(file) {
  if (!fetching.has(file)) fetching.set(file, fetchBundle(file));
  return fetching.get(file);
}

/* As soon as what comes first is there; draw() looks at what has become of it. */
function fetchCharts() {
  for (const file of BUILD.charts) bundle(file).catch(() => {});
}

async function start() {
  const opening = HOW.restore && snapshots.open(HOW.key);
  const needed = bundles.filter((file) => first.includes(file));
  for (const file of needed) bundle(file).catch(failed);
  if (!opening) Promise.all(needed.map(bundle)).then(fetchCharts, () => {});
  if (opening) opening.then(({ about }) => say("render", about.built)).catch(() => {}); // awaited below
  if (!self.HELD) await Promise.all(["pyodide.js", "pyodide.asm.js"].map((name) => runScript(BUILD.runtime + name)));
  python = await loadPyodide({
    indexURL: here + BUILD.runtime,
    stdLibURL: `${here}${BUILD.runtime}stdlib.zip`, // an empty one
    env: { HOME: "/pennyflat", PANEL_CDN_ROOT: BUILD.panel, BOKEH_RESOURCES: "cdn", PYTHONDONTWRITEBYTECODE: "1" },
    // a Python from a snapshot needs no files to begin with
    ...(opening ? snapshots.options(opening, bytesOfLibrary) : { fsInit: async (FS) => install(FS, await bundle(LIBRARY)) }),
  });
  mark("python ready");
  if (opening) await resume((await opening).about);
  else await begin();
  await Promise.all(checks);
  mark("ready");
  say("ready");
}

/* Goes on where the snapshot was taken, if Python knows its answer. */
async function resume({ expected, indexes }) {
  for (const found of indexes) install(python.FS, found);
  for (const file of [OWN, COMPILED]) install(python.FS, await bundle(file));
  bridge = python.pyimport("bridge");
  bridge.begin_anew();
  if (bridge.example() !== expected) throw new Error("Python does not come to the same answer as before.");
  mark("from snapshot");
}

async function begin() {
  install(python.FS, await bundle(OWN));
  progress(0, "start.python");
  python.runPython("import sys, importlib; sys.path[:0] = ['/pennyflat/webapp', '/pennyflat/core']");
  python.runPython("importlib.invalidate_caches()");
  bridge = python.pyimport("bridge");
  progress(0, "start.answer");
  bridge.begin();
}

/* The charts come last. Each step waits for its turn, so that what the page asks meanwhile is answered in between. */
async function draw() {
  progress(0, "start.charts");
  for (const file of BUILD.charts) install(python.FS, await bundle(file));
  for (const name of bridge.DRAWING.toJs()) {
    await inTurn(() => bridge.load(name));
    mark(`${name} imported`);
  }
  await inTurn(build);
  mark("charts made");
}

async function build() {
  const made = await bridge.build_document();
  const [docs, items, ids] = made.toJs(), built = { docs, items, ids };
  made.destroy();
  await Promise.all([...checks, ...checksOfCharts]);
  say("render", built);
  if (HOW.keep) await setAside(built);
}

/* ---- A snapshot for the next start: taken at once, written when the page has been quiet for a while ---- */

const QUIET_MS = 4000;
let toKeep = null, quiet = 0;

async function setAside(built) {
  try {
    const bundles = await Promise.all(inMemory.map(bundle)), indexes = bundles.map(({ file, index }) => ({ file, index }));
    toKeep = snapshots.take(python, { expected: bridge.example(), built, indexes });
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
  message({ text }) {
    say("answer", { text: bridge.answer(text) });
    redrawLater();
  },
  draw() {
    draw().catch(async (error) => tell(await betterReason(error), "charts"));
  },
  rendered() {
    bridge.link((patch, buffers) => say("patch", { patch, buffers }));
    mark("linked");
  },
};

const CALM_MS = 120; // after an answer, before the charts follow: the next key may be on its way
let redrawing = 0;

function redrawLater() {
  clearTimeout(redrawing);
  redrawing = setTimeout(() => inTurn(() => bridge.redraw()).catch((error) => tell(error, "in_step")), CALM_MS);
}

function tell(error, at) {
  const details = String(error?.message ?? error).trim();
  const memory = error instanceof RangeError || /out of memory|allocation failed|MemoryError/i.test(details);
  const kind = error?.kind ?? (memory ? "memory" : "program");
  say("trouble", { at, kind, file: error?.file?.split("/").at(-1), words: details.split("\n").at(-1), details });
}

/* What comes of damaged files may be anything: that they are is the better reason. */
const betterReason = (error) => Promise.all([...checks, ...checksOfCharts]).then(() => error, (found) => found);

let turn = Promise.race([start(), failure]).catch(async (error) => {
  const reason = await betterReason(error);
  if (HOW.restore) say("unusable", { details: String(reason?.message ?? reason) });
  else tell(reason, "at_start");
  return new Promise(() => {}); // nothing after this can work
});
self.onmessage = ({ data }) => {
  turn = turn.then(() => handlers[data.type](data)).catch((error) => tell(error, "in_step")).then(keepLater);
};

/* Does the work after what the page has sent until now. */
async function inTurn(work) {
  await new Promise((done) => setTimeout(done)); // what the page has sent comes in
  const done = turn.then(work);
  turn = done.catch(() => {});
  return done;
}
