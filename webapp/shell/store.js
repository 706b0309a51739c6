/* What is stored on this device, in IndexedDB: text by key, and messages that Python has not answered.

   localStorage reaches the disk when the browser chooses, up to a minute later; a "strict" transaction is complete once it is on
   the disk. Two tabs never write at the same time, so no other can change what one transaction reads and writes. */

"use strict";

const store = (() => {
  const PREFIX = "pennyflat:"; // pages opened from files share all storage
  const NAME = `${PREFIX}kept`;
  const STORES = ["kept", "pending"];
  const PATIENCE_MS = 5000; // a browser may never answer when asked for its storage
  let opening = null;

  const answered = (request) =>
    new Promise((done, failed) => {
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });

  const open = () => (opening ??= opened().catch((error) => ((opening = null), Promise.reject(error))));

  async function opened() {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      for (const name of STORES) request.result.createObjectStore(name);
    };
    const tooLate = new Promise((_, failed) => setTimeout(failed, PATIENCE_MS, new Error("The storage does not answer.")));
    const database = await Promise.race([answered(request), tooLate]);
    database.onclose = gone;
    database.onversionchange = () => (database.close(), gone());
    return database;
  }

  /* The browser or another tab has closed the database. */
  function gone() {
    opening = null;
    made.onGone();
  }

  const begin = async (mode) => (await open()).transaction(STORES, mode, { durability: "strict" });

  /* Does some work in one transaction. Returns its result once the transaction is complete; otherwise nothing has changed. */
  async function within(mode, work) {
    const transaction = await begin(mode).catch(() => {
      opening = null; // the connection is closing; a new one may work
      return begin(mode);
    });
    const complete = new Promise((done, failed) => {
      transaction.oncomplete = done;
      transaction.onabort = () => failed(transaction.error ?? new Error("The browser did not keep it."));
    });
    const result = Promise.resolve(work(...STORES.map((name) => transaction.objectStore(name)))).then(
      (found) => (mode === "readwrite" && transaction.commit(), found),
      (error) => {
        if (!transaction.error) transaction.abort();
        throw error;
      },
    );
    complete.catch(() => {}); // the work's own error is more informative
    const found = await result;
    await complete;
    return found;
  }

  /* All entries of a store with keys in a range: [[key, value]]. */
  async function entries(from, range) {
    const [keys, values] = await Promise.all([answered(from.getAllKeys(range)), answered(from.getAll(range))]);
    return keys.map((key, i) => [key, values[i]]);
  }

  /* ---- Storage of earlier versions ---- */

  const old = picture.tryTo(() => localStorage);

  if (old?.getItem(`${PREFIX}warm`) != null) {
    picture.tryTo(() => indexedDB.deleteDatabase("pennyflat")); // a copy of Python's memory
    old.removeItem(`${PREFIX}warm`);
  }

  /* What is still in localStorage: [[key, text]]. */
  const left = () =>
    Object.keys(old ?? {})
      .filter((name) => /^pennyflat:(plan:|past:|(current|language|units|pending)$)/.test(name))
      .map((name) => [name.slice(PREFIX.length), old.getItem(name)]);

  /* Moves it here, once. Existing entries stay; a plan that differs is added beside them. */
  async function takeOver() {
    const texts = left();
    if (!texts.length) return;
    await within("readwrite", async (kept, pending) => {
      for (const [key, text] of texts) {
        const there = await answered(kept.get(key));
        if (key === "pending") {
          const { plan, messages } = picture.tryTo(() => JSON.parse(text)) ?? {};
          [messages].flat().forEach((message, i) => pending.put({ plan, message }, ["", i]));
        } else if (there === undefined) kept.put(text, key);
        else if (key.startsWith("plan:") && there !== text) kept.put(text, `plan:${Math.random().toString(16).slice(2)}`);
      }
    });
    for (const [key] of texts) old.removeItem(PREFIX + key);
  }

  const made = { PREFIX, within, answered, entries, old, left, takeOver, onGone() {} };
  return made;
})();
