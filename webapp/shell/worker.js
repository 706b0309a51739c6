/* Runs Python off the page's own thread, so that the page always responds.
   The build puts `const BUILD = {…}`, with the files' places, sizes and sums, and some short scripts before this file.

   Python starts from the build's snapshot of its memory, in which the calculator is imported and knows the example. After that
   the only files are those of BUILD.late, in bundles that are fetched when the first of their files is read.

   What it tells the page is in `handlers` of page.js, what the page tells it in those below. */

const here = self.FOLDER; // the page's, set by page.js
const say = (type, fields) => self.postMessage({ type, ...fields });
const mark = (name) => say("mark", { name, at: performance.timeOrigin + performance.now() });

let python, bridge, heap;
mark("worker started");

const LOCK = `pennyflat: worker ${Math.random()}`;
const never = () => new Promise(() => {}); // nothing that follows it is done
self.navigator.locks?.request(LOCK, () => (say("holds", { lock: LOCK }), never())).catch(() => {}); // the page may hear only silence

/* ---- Fetching: each file is checked against its sum ---- */

/* kind: "missing" (the file no longer exists), "damaged", or "unreachable"; see the texts "wrong.…". */
const fileTrouble = (kind, file, words) => Object.assign(new Error(`${file}: ${words}`), { kind, file });

const { runtime } = BUILD;
const WASM = `${runtime}pyodide.asm.wasm`;
const checks = [];

/* For what fails without a connection. */
const unreachable = (file) => (error) => {
  throw fileTrouble("unreachable", file, error.message);
};

const ask = self.fetch;
async function answerFor(file, how) {
  const answer = await ask(here + file, how).catch(unreachable(file));
  if (!answer.ok) throw fileTrouble("missing", file, `the server said ${answer.status}`);
  return answer;
}

const bodyOf = (answer, file) => answer.arrayBuffer().catch(unreachable(file));

/* Compares a file's sum while the start continues: the first answer waits for all checks. */
function check(file, bytes) {
  const checked = Promise.resolve(bytes).then(async (data) => {
    if (!self.crypto.subtle) return; // there are no sums over plain HTTP from another machine
    if (BUILD.sums[file] !== (await sumOf(data))) throw fileTrouble("damaged", file, "its SHA-256 sum is another");
  });
  checked.catch(() => {}); // the caller awaits all of them
  checks.push(checked);
  return checked;
}

/* Compiles Python's WebAssembly; the runtime would start later, and after a failure it waits forever. The browser itself compares the
   sum, since it keeps compiled code for later visits only of an answer that nobody else reads. */
async function compile() {
  const answer = await answerFor(WASM, { integrity: BUILD.sums[WASM] }).catch((error) => {
    check(WASM, answerFor(WASM).then((again) => bodyOf(again, WASM))); // if it is damaged, this says so
    throw error;
  });
  say("progress", { more: BUILD.bytes[WASM] });
  return WebAssembly.compileStreaming(answer);
}

/* A snapshot as the runtime takes it: a head, then those parts of the memory that are not as in a new one. The runtime wants to know
   its length at once, its contents when everything else is prepared. */
function snapshot() {
  const head = new Uint8Array(BUILD.snapshot.head), { length } = BUILD.snapshot;
  let parts;
  const filled = memory.then((buffer) => {
    const [[, bytes], ...others] = unbundled(buffer);
    head.set(bytes);
    parts = others;
  });
  function subarray(start, end) {
    if (end) return Uint8Array.prototype.subarray.call(head, start, end);
    const all = new Uint8Array(heap.buffer);
    for (const [path, bytes] of parts) all.set(bytes, Number(path.split("/").at(-1)));
    discard(parts[0][1].buffer);
    collectGarbage();
    return []; // it is written
  }
  return { filled, image: Object.defineProperties(head, { length: { value: length }, subarray: { value: subarray } }) };
}

/* What is left of fetching and compiling takes several times the size of the code, and nothing would have the browser collect it soon. A
   buffer that is never touched takes no memory, but counts as if it did. */
function collectGarbage() {
  try {
    new ArrayBuffer(1 << 27);
  } catch {
    // so much memory could not be had anyway
  }
}

/* ---- Starting ---- */

const NO_FILES = new Uint8Array(22); // a zip without files
NO_FILES.set([80, 75, 5, 6]);

async function start() {
  let failed;
  const failure = new Promise((_, reject) => (failed = reject));
  const module = compile(), { image, filled } = snapshot();
  self.onunhandledrejection = ({ reason }) => failed(reason); // after some errors the runtime waits forever
  for (const waited of [module, filled]) waited.catch(failed);
  WebAssembly.instantiateStreaming = (_, imports) => {
    heap = imports.env.memory;
    const made = module.then(async (code) => {
      return { module: code, instance: await WebAssembly.instantiate(code, imports) };
    });
    made.catch(failed);
    return made;
  };
  try {
    importScripts(...BUILD.scripts.map(trusted.address));
  } finally {
    // a server that says nothing about caching must not send them twice
    for (const file of BUILD.scripts) check(file, answerFor(file, { cache: "force-cache" }).then((answer) => bodyOf(answer, file)));
  }
  await null; // in the single file they follow this script
  mark("runtime there");
  self.fetch = async (request) => new Response(String(request.url ?? request).endsWith(".zip") ? NO_FILES : null); // fetched already
  const starting = loadPyodide({
    indexURL: here + runtime,
    stdLibURL: `${here}${runtime}none.zip`,
    lockFileContents: JSON.stringify({ info: BUILD.info, packages: {} }),
    env: { HOME: "/pennyflat" },
    fsInit: () => filled,
    _loadSnapshot: image,
  });
  python = await Promise.race([starting, failure]);
  self.fetch = ask;
  self.onunhandledrejection = null;
  mark("python ready");
  for (const [file, folders] of Object.entries(BUILD.late)) putOff(python.FS, file, folders);
  bridge = python.pyimport("bridge");
  bridge.wake();
  await Promise.all(checks);
  mark("ready");
  say("ready");
}

/* ---- Files that are read later ---- */

const EIO = 29; // Emscripten's number for a read error
const opened = new Map(); // bundle to its files: path to bytes

/* Python reads synchronously, so the worker blocks until a file's bundle has arrived. If it does not arrive, Python gets a read
   error, and tries again the next time. */
function putOff(FS, bundle, folders) {
  for (const [folder, files] of folders) {
    FS.mkdirTree(folder);
    const parent = FS.lookupPath(folder).node;
    for (const [name, length] of files) {
      const node = parent.node_ops.mknod(parent, name, 0o100644, 0);
      node.usedBytes = length;
      Object.defineProperty(node, "contents", {
        configurable: true,
        enumerable: true,
        get: () => (node.contents = contentsOf(FS, bundle).get(`${folder}/${name}`)),
        set: (value) => Object.defineProperty(node, "contents", { value, writable: true }),
      });
    }
  }
}

function contentsOf(FS, file) {
  if (opened.has(file)) return opened.get(file);
  const request = new XMLHttpRequest();
  request.open("GET", here + file, false);
  request.responseType = "arraybuffer";
  try {
    request.send(); // without a connection it fails, and there is no status
    if (request.status !== 200) throw new Error(`the server said ${request.status}`);
    check(file, request.response).catch((error) => (opened.delete(file), tell(error, "in_step")));
    opened.set(file, unbundled(request.response));
  } catch (error) {
    const kind = { 0: "unreachable", 200: "damaged" }[request.status] ?? "missing";
    tell(fileTrouble(kind, file, error.message), "in_step");
    throw new FS.ErrnoError(EIO);
  }
  return opened.get(file);
}

/* The files of a bundle: path to bytes. */
function unbundled(buffer) {
  const size = new DataView(buffer).getUint32(0, true), index = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, size)));
  const part = (from, length) => new Uint8Array(buffer, 4 + size + from, length);
  const read = ([folder, files]) => files.map(([name, ...at]) => [`${folder}/${name}`, part(...at)]);
  return new Map(index.flatMap(read));
}

/* ---- Answering ---- */

const handlers = {
  message({ text }) {
    try {
      say("answer", { text: bridge.answer(text) });
    } catch (error) {
      // Python answers even if something fails in it; if it does not, its state is unknown
      say("ended", { details: String(error?.stack ?? error) });
      return never();
    }
    hasAnswered = true;
    redrawLater();
  },
  /* From now on the charts are wanted. */
  charts() {
    areWanted = true;
    redrawLater();
  },
};

const CALM_MS = 120; // between an answer and its charts: the next key may be on its way
let redrawing = 0, areWanted = false, hasAnswered = false, hasDrawn = false;

/* Before the first answer Python knows only the example. */
function redrawLater() {
  if (!areWanted || !hasAnswered) return;
  clearTimeout(redrawing);
  const afterMessages = () => setTimeout(inTurn, 0, redraw); // those of the page may be arriving
  redrawing = setTimeout(afterMessages, hasDrawn ? CALM_MS : 0);
}

function redraw() {
  const text = bridge.news();
  if (text && (text !== "{}" || !hasDrawn)) say("charts", { text });
  hasDrawn ||= Boolean(text);
}

function tell(error, at) {
  const details = String(error?.details ?? error?.message ?? error).trim();
  const memory = error instanceof RangeError || /out of memory|allocation failed|MemoryError/i.test(details);
  const kind = error?.kind ?? (memory ? "memory" : "program");
  say("trouble", { at, kind, file: error?.file?.split("/").at(-1), words: details.split("\n").at(-1), details });
}

let turn = start().catch(async (error) => {
  // damaged files can cause any error, so damage is the better explanation
  tell(await Promise.all(checks).then(() => error, (found) => found), "at_start");
  return never();
});
const inTurn = (work) => (turn = turn.then(work).catch((error) => tell(error, "in_step")));
self.onmessage = ({ data }) => inTurn(() => handlers[data.type](data));
