/* Python's memory as it was once the page stood ready, kept on this device so that the next start need not work it out again.
   Stands before worker.js, which takes the snapshot and starts from it; whether either may be done is decided by warm.js.

   A snapshot holds the memory and what JavaScript must know to go on with it: where each compiled library lies, which function
   stands in which slot of the function table, which objects of JavaScript Python holds. The runtime can do this by itself only
   without compiled libraries, so this leans on its inside (LDSO, the table, API.restoreSnapshot) and holds for one version of it.
   Therefore everything that can be checked is, here and in worker.js, and whatever differs is thrown as an error: the page then
   starts in the plain way.

   It is taken from the running worker when the charts are made: it costs one pass over 50 MB of memory (53 and 78 ms measured)
   while the page draws them. What the visitor has typed by then may lie in it, but a start from it begins anew. A second worker
   started only for it would cost the whole start again, in processor time and in memory. */

const snapshots = {
  /* ---- Where they lie: one record in IndexedDB, which pages from files have too ---- */

  async store(mode, work) {
    const opening = indexedDB.open("pennyflat", 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("snapshot");
    const database = await snapshots.outcome(opening);
    try {
      const transaction = database.transaction("snapshot", mode);
      const complete = new Promise((done, failed) => {
        transaction.oncomplete = done;
        transaction.onabort = () => failed(transaction.error);
      });
      const [found] = await Promise.all([snapshots.outcome(work(transaction.objectStore("snapshot"))), complete]);
      return found;
    } finally {
      database.close();
    }
  },
  outcome: (request) =>
    new Promise((done, failed) => {
      request.onsuccess = () => done(request.result);
      request.onerror = request.onblocked = () => failed(request.error ?? new Error("The store is in use."));
    }),
  read: () => snapshots.store("readonly", (store) => store.get("latest")),

  /* Keeps a snapshot under a key, in place of any other; its size in bytes, or 0 if this device has no room to spare. */
  async keep(key, { about, memory }) {
    const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
    if (quota - usage < 3 * memory.length) return 0;
    const sums = [about, memory].map(snapshots.sumOf);
    // as a blob: it is read faster than an array, and without a second copy of it in memory
    await snapshots.store("readwrite", (store) => store.put({ key, about, sums, memory: new Blob([memory]) }, "latest"));
    return memory.length;
  },

  /* FNV-1a (Fowler, Noll and Vo) over words of 32 bits: any change of one word changes it, and chance hits it once in 2³². SHA-256
     would first copy what is summed, and 50 MB of new memory take longer than this. */
  sumOf(part) {
    const bytes = typeof part === "string" ? new TextEncoder().encode(part) : part, whole = bytes.length >> 2;
    let sum = 0x811c9dc5;
    for (const words of [new Uint32Array(bytes.buffer, bytes.byteOffset, whole), bytes.subarray(4 * whole)])
      for (let i = 0; i < words.length; i++) sum = Math.imul(sum ^ words[i], 0x01000193);
    return sum >>> 0;
  },

  /* What was kept under the key: {about, memory}, of which the memory comes later, when it has been checked too. */
  async open(key) {
    const kept = await snapshots.read();
    if (kept?.key !== key) throw new Error("There is no snapshot of this very page.");
    const checked = (part, sum) => {
      if (snapshots.sumOf(part) !== sum) throw new Error("The snapshot is damaged.");
      return part;
    };
    const memory = kept.memory.arrayBuffer().then((buffer) => checked(new Uint8Array(buffer), kept.sums[1]));
    memory.catch(() => {}); // awaited later; until then not "unhandled"
    return { about: JSON.parse(checked(kept.about, kept.sums[0])), memory };
  },

  /* ---- Taking one ---- */

  /* {about, memory} of a Python at rest. `more` is kept along with it. */
  take({ _module: module, _api: api }, more) {
    const libraries = snapshots.libraries(module);
    const start = module._PyEM_CountArgsPtr + 1; // that slot is the last one filled before Python begins
    if (start === 1) throw new Error("This browser fills the function table in another way.");
    const about = {
      runtime: api.config.BUILD_ID,
      objects: api.serializeHiwireState(snapshots.nameOf),
      libraries,
      table: { start, end: module.wasmTable.length, slots: snapshots.slots(module, start, libraries) },
      streams: module.FS.streams.flatMap((stream, number) => (stream && number > 2 ? { number, path: stream.path } : [])),
      size: module.HEAPU8.length,
      ...more,
    };
    const used = module.HEAPU32[module._emscripten_get_sbrk_ptr() >>> 2]; // what lies behind is untouched
    return { about: JSON.stringify(about), memory: module.HEAPU8.slice(0, used) };
  },

  /* The compiled libraries in the order of loading. Their addresses stand in a record that the C library keeps, at `handle`. */
  libraries({ LDSO, HEAPU32 }) {
    const handles = new Map(Object.entries(LDSO.loadedLibsByHandle).map(([handle, library]) => [library, Number(handle)]));
    return Object.entries(LDSO.loadedLibsByName)
      .filter(([name]) => name !== "__main__")
      .map(([name, library]) => {
        const handle = handles.get(library);
        if (!handle) throw new Error(`${name} has no handle.`);
        const [memory, , slots, slotCount] = HEAPU32.subarray((handle + 12) >>> 2, (handle + 28) >>> 2);
        return { name, handle, global: Boolean(library.global), memory, slots, slotCount };
      });
  },

  /* The slots of the function table that no library fills as a whole: [[slot, library, name of the function in it], …]. */
  slots(module, start, libraries) {
    const named = new Map();
    for (const [library, { exports }] of Object.entries(module.LDSO.loadedLibsByName))
      for (const [name, value] of Object.entries(exports)) if (typeof value === "function" && !named.has(value)) named.set(value, [library, name]);
    const found = [];
    for (let slot = start; slot < module.wasmTable.length; slot++) {
      if (libraries.some(({ slots, slotCount }) => slots <= slot && slot < slots + slotCount)) continue;
      const value = module.wasmTable.get(slot);
      if (!value) continue;
      if (!named.has(value)) throw new Error(`Slot ${slot} holds a function without a name.`);
      found.push([slot, ...named.get(value)]);
    }
    return found;
  },

  /* JavaScript's objects that Python may hold: those that the whole worker knows by a name. */
  nameOf(object) {
    const name = snapshots.known.find((known) => snapshots.named(known) === object);
    if (name === undefined) throw new Error(`Python holds an object without a name: ${object}`);
    return name;
  },
  named: (name) => name.split(".").filter(Boolean).reduce((object, part) => object[part], self),
  known: ["", "XMLHttpRequest", "JSON", "toObject", "Object", "Object.entries", "Object.fromEntries"],

  /* ---- Starting from one ---- */

  /* What loadPyodide takes to start from the snapshot that is being opened; `bytesOf` gives a library's bytes by its path. */
  options(opening, bytesOf) {
    const compiling = opening.then(({ about: { libraries } }) =>
      Promise.all(libraries.map(async ({ name }) => WebAssembly.compile(await bytesOf(name)))),
    );
    compiling.catch(() => {}); // awaited below; until then not "unhandled"
    const create = self._createPyodideModule;
    self._createPyodideModule = async (settings) => {
      self._createPyodideModule = create; // else the snapshot would be held for ever
      const { about, memory } = await opening;
      const module = await create({ ...settings, INITIAL_MEMORY: about.size });
      snapshots.restore(module, about, await compiling, await memory);
      return module;
    };
    return { _loadSnapshot: opening.then(snapshots.header), _snapshotDeserializer: snapshots.named };
  },

  restore(module, { table, libraries, size, streams }, compiled, memory) {
    const same = (what, now, then) => {
      if (now !== then) throw new Error(`Not as in the snapshot: ${what} (${now}, was ${then}).`);
    };
    same("size of memory", module.HEAPU8.length, size);
    same("last slot at first", module._PyEM_CountArgsPtr + 1, table.start);
    same("function table at first", module.wasmTable.length, table.start);
    libraries.forEach((library, i) => snapshots.load(module, library, compiled[i]));
    if (module.wasmTable.length < table.end) module.wasmTable.grow(table.end - module.wasmTable.length);
    same("function table with libraries", module.wasmTable.length, table.end);
    for (const [slot, library, name] of table.slots) {
      const wanted = module.LDSO.loadedLibsByName[library].exports[name], found = module.wasmTable.get(slot);
      if (typeof wanted !== "function" || (found && found !== wanted)) throw new Error(`Slot ${slot} is not ${name} of ${library}.`);
      if (found) continue;
      module.setWasmTableEntry(slot, wanted);
      module.updateTableMap(slot, 1);
    }
    for (const { number, path } of streams) same(`stream for ${path}`, module.FS.open(path, 0).fd, number);
    module.HEAPU8.set(memory); // last: loading has run the libraries' own beginnings
  },

  /* Puts a library where it was. The loader takes the place from the library's record and looks for no other. */
  load(module, { name, handle, global, memory, slots, slotCount }, compiled) {
    const missing = slots - module.wasmTable.length;
    if (slotCount && missing > 0) module.wasmTable.grow(missing);
    if (slotCount && missing < 0) throw new Error(`The place of ${name} in the function table is taken.`);
    module.HEAPU8[handle + 8] = 1;
    module.HEAPU32[(handle + 12) >>> 2] = memory;
    module.HEAPU32[(handle + 20) >>> 2] = slots;
    const how = { global, nodelete: true, loadAsync: false }, scope = global ? null : {};
    module.preloadedWasm[name] = module.loadWebAssemblyModule(compiled, how, name, scope, handle);
    module.loadDynamicLibrary(name, how, scope, handle);
  },

  /* A snapshot as the runtime itself reads it, with the objects and without any memory: restore has filled that in. */
  header({ about: { runtime, objects } }) {
    const text = new TextEncoder().encode(JSON.stringify(objects)), start = 48;
    const end = Math.ceil((start + text.length) / 16) * 16, bytes = new Uint8Array(end);
    const id = runtime.match(/.{8}/g).map((word) => parseInt(word, 16));
    new Uint32Array(bytes.buffer).set([0x706e7300, end, text.length, 0, ...id]);
    bytes.set(text, start);
    return bytes;
  },
};
