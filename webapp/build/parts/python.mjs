/* Runs the browser's Python under Node, for the build: node python.mjs RUNTIME TASK FOLDER LOCK.

   The folder contains files.bundle, packed as by files.py, and none.zip; the result goes there as made.bundle. The task
   "bytecode" returns the same files with Python's compiled. "picture" puts the files where they are in the browser, imports
   bridge.py and returns a snapshot of Python's memory, and the paths of the files that are read when the rest of the packages is
   imported after that.

   Builds must be reproducible, so there is neither clock nor chance. */

import fs from "node:fs";
import nodeCrypto from "node:crypto";
import { pathToFileURL } from "node:url";

const [runtime, task, folder, lock] = process.argv.splice(1).slice(1);
process.argv.push("python.mjs"); // Python stores this name in its memory: without the builder's folder

const NOW = Date.UTC(2000, 0, 1, 12);
globalThis.Date = class extends Date {
  constructor(...parts) {
    super(...(parts.length ? parts : [NOW]));
  }
  static now = () => NOW;
};
const noChance = (view) => (new Uint8Array(view.buffer, view.byteOffset, view.byteLength).fill(1), view);
Math.random = () => 0.5;
performance.now = () => 0;
process.hrtime = Object.assign(() => [0, 0], { bigint: () => 0n });
nodeCrypto.randomFillSync = noChance;
Object.defineProperty(globalThis.crypto, "getRandomValues", { value: noChance });

const TASKS = {
  bytecode(python, files) {
    const translated = python.runPython(`
from py_compile import PycInvalidationMode, compile
lambda path: compile(path, path + "c", path, True, 2, PycInvalidationMode.UNCHECKED_HASH)
`);
    const read = (path) => [`${path}c`, python.FS.readFile(translated(path))];
    return files.map(([path, data]) => (path.endsWith(".py") ? read(path) : [path, data]));
  },

  picture(python) {
    python.runPython(`
import sys
sys.path[:0] = ["/pennyflat/webapp", "/pennyflat/core"]
import bridge
bridge.prepare()
`);
    blank(python._module);
    const memory = pack(changes(python.makeMemorySnapshot()));
    const late = python.runPython(`
import json, pkgutil
def files():
    return {getattr(module, "__file__", None) for module in sys.modules.values()} - {None}
known = files()
import icalendar, segno
for package in (icalendar, segno):
    for found in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        try:
            __import__(found.name)
        except ModuleNotFoundError:
            pass  # a tool of the package, for which it wants more than it needs
bridge.use_late()
json.dumps(sorted(files() - known))
`);
    return [["memory", memory], ["late", Buffer.from(late)]];
  },
};

/* Fills the free parts of the memory with zeros, which compress better than what was freed there: takes every hole, then frees
   them all. The end of the memory is taken first, so that what comes after it shows that no hole is left. */
function blank(memory) {
  const { _PyMem_RawMalloc: take, _PyMem_RawFree: free, HEAPU8: { length } } = memory, LARGE = 1 << 20;
  const fresh = take(2 * LARGE); // larger than any hole
  free(fresh);
  const taken = [];
  for (let size = LARGE; size >= 16; size >>= 1)
    for (let at = 0; (at = take(size)) < fresh || free(at); taken.push(at)) memory.HEAPU8.fill(0, at, at + size);
  const rest = memory._sbrk(0) - fresh - (1 << 16), at = take(rest);
  memory.HEAPU8.fill(0, at, at + rest);
  for (const one of [...taken, at]) free(one);
  if (memory.HEAPU8.length > length) throw new Error("Python's memory has grown.");
}

const instantiate = WebAssembly.instantiate;
let fresh; // a new memory, with nothing but the runtime's own data
WebAssembly.instantiate = async (code, imports) => {
  const made = await instantiate(code, imports);
  if (imports.env?.memory) fresh ??= Buffer.from(imports.env.memory.buffer.slice());
  return made;
};

/* What the page needs of the snapshot: its head, and by address the parts of the memory that are not as in a new one, which the
   page has from pyodide.asm.wasm (see worker.js). Nothing is at the last address, the memory's length. */
function changes(snapshot) {
  const [, start] = new Uint32Array(snapshot.buffer, snapshot.byteOffset, 2), PART = 1024, parts = [];
  const head = Buffer.from(snapshot.subarray(0, start)), memory = Buffer.from(snapshot.subarray(start)), before = Buffer.alloc(memory.length);
  fresh.copy(before);
  for (let at = 0; at < memory.length; at += PART) {
    if (!memory.compare(before, at, at + PART, at, at + PART)) continue;
    if (parts.at(-1)?.end === at) parts.at(-1).end += PART;
    else parts.push({ at, end: at + PART });
  }
  parts.push({ at: memory.length });
  return [["head", head], ...parts.map(({ at, end }) => [`at/${at}`, memory.subarray(at, end)])];
}

function unpack(bytes) {
  const size = bytes.readUInt32LE(0), body = bytes.subarray(4 + size);
  return JSON.parse(bytes.subarray(4, 4 + size)).flatMap(([place, entries]) =>
    entries.map(([name, start, length]) => [`${place}/${name}`, body.subarray(start, start + length)]),
  );
}

function pack(files) {
  let end = 0;
  const index = files.map(([path, { length }]) => {
    const place = path.split("/"), name = place.pop();
    return [place.join("/"), [[name, (end += length) - length, length]]];
  });
  const told = Buffer.from(JSON.stringify(index)), size = Buffer.alloc(4);
  size.writeUInt32LE(told.length);
  return Buffer.concat([size, told, ...files.map(([, data]) => data)]);
}

async function work() {
  const files = unpack(fs.readFileSync(`${folder}/files.bundle`));
  const { loadPyodide } = await import(pathToFileURL(`${runtime}/pyodide.mjs`));
  const python = await loadPyodide({
    indexURL: `${runtime}/`,
    env: { HOME: "/pennyflat", PYTHONHASHSEED: "0", PYTHONOPTIMIZE: "2", PYTHONDONTWRITEBYTECODE: "1", PYTHONNODEBUGRANGES: "1" },
    lockFileContents: lock,
    stdLibURL: task === "picture" ? `${folder}/none.zip` : `${runtime}/python_stdlib.zip`,
    _makeSnapshot: task === "picture",
    fsInit: async (FS) => {
      for (const [path, data] of files) {
        FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
        FS.writeFile(path, new Uint8Array(data));
      }
    },
  });
  fs.writeFileSync(`${folder}/made.bundle`, pack(TASKS[task](python, files)));
}

work().then(() => process.exit(0), ({ message }) => {
  console.error(message); // not the stack: the runtime's code is a single line
  process.exit(1);
});
