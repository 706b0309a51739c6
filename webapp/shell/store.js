/* What is stored on this device, in IndexedDB: text by key, and messages that Python has not answered, of this tab and of others.

   localStorage reaches the disk when the browser chooses, up to a minute later; a "strict" transaction is complete once it is on
   the disk. Two tabs never write at the same time, so no other can change what one transaction reads and writes. */

const store = (() => {
  const PREFIX = "pennyflat:"; // pages opened from files share all storage
  const STORES = ["kept", "pending"];
  const PATIENCE_MS = 5000; // a browser may never answer when asked for its storage
  const LONGEST_WAIT_MS = 300; // for a tab that has just been closed to release its lock
  const { tryTo } = picture;
  const old = tryTo(() => localStorage);
  const tab = Math.random().toString(36).slice(2); // this one
  let opening = null;

  tryTo(() => navigator.locks.request(PREFIX + tab, () => new Promise(() => {})).catch(() => {}));

  if (old?.getItem(`${PREFIX}warm`) != null) {
    tryTo(() => indexedDB.deleteDatabase("pennyflat")); // an earlier version's copy of Python's memory
    old.removeItem(`${PREFIX}warm`);
  }

  const answered = (request) =>
    new Promise((done, failed) => {
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });

  async function opened() {
    const request = indexedDB.open(`${PREFIX}kept`, 1);
    request.onupgradeneeded = () => STORES.forEach((name) => request.result.createObjectStore(name));
    const tooLate = new Promise((_, failed) => setTimeout(failed, PATIENCE_MS, new Error("The storage does not answer.")));
    const database = await Promise.race([answered(request), tooLate]);
    database.onclose = gone;
    database.onversionchange = () => (database.close(), gone());
    return database;
  }

  /* The browser or another tab has closed the database. */
  function gone() {
    opening = null;
    store.onGone();
  }

  async function begin(mode) {
    const database = await (opening ??= opened());
    return database.transaction(STORES, mode, { durability: "strict" });
  }

  /* Does some work in one transaction. Returns its result once the transaction is complete; otherwise nothing has changed. */
  async function within(mode, work) {
    const transaction = await begin(mode).catch(() => {
      opening = null; // the connection is closing, or there was none; a new one may work
      return begin(mode);
    });
    const complete = new Promise((done, failed) => {
      transaction.oncomplete = done;
      transaction.onabort = () => failed(transaction.error ?? new Error("The browser did not keep it."));
    });
    complete.catch(() => {}); // the work's own error is more informative
    try {
      const found = await work(...STORES.map((name) => transaction.objectStore(name)));
      if (mode === "readwrite") transaction.commit();
      await complete;
      return found;
    } catch (error) {
      tryTo(() => transaction.abort()); // unless it has ended
      throw error;
    }
  }

  /* All entries of a store with keys in a range: [[key, value]]. */
  async function entries(from, range) {
    const [keys, values] = await Promise.all([answered(from.getAllKeys(range)), answered(from.getAll(range))]);
    return keys.map((key, i) => [key, values[i]]);
  }

  /* ---- Unanswered messages, by tab and number ---- */

  /* This tab's up to that number, as a range of keys. */
  const messages = (upTo) => IDBKeyRange.bound([tab, -Infinity], [tab, upTo]);

  const isMessage = (value) => typeof value?.do === "string" && ["path", "text"].every((name) => typeof (value[name] ?? "") === "string");

  /* Messages about that plan that were unanswered when their tab closed. They now belong to this tab, with numbers before its own. */
  async function inherit(plan) {
    const keys = await within("readonly", (_, pending) => answered(pending.getAllKeys()));
    if (!keys.length) return [];
    const gone = new Set([tab]);
    for (const other of new Set(keys.map(([other]) => other))) if (await isGone(other)) gone.add(other);
    return within("readwrite", async (_, pending) => {
      const left = (await entries(pending)).filter(
        ([[from, seq], value]) => gone.has(from) && (from !== tab || seq < 0) && value?.plan === plan && isMessage(value.message),
      );
      left.sort(([, one], [, other]) => (one.at ?? 0) - (other.at ?? 0)); // from several tabs: in the order typed
      for (const [key] of left) pending.delete(key);
      left.forEach(([, value], i) => pending.put(value, [tab, i - left.length]));
      return left.map(([, { message }]) => message);
    });
  }

  /* Whether a tab has released its lock. One that holds it may be about to close. */
  async function isGone(other) {
    const name = PREFIX + other, { held } = (await navigator.locks?.query()) ?? { held: [] };
    if (other === tab || !held.some((lock) => lock.name === name)) return true;
    return navigator.locks.request(name, { signal: AbortSignal.timeout(LONGEST_WAIT_MS) }, () => true).catch(() => false);
  }

  /* ---- Storage of the earlier version ---- */

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
          const { plan, messages } = tryTo(() => JSON.parse(text)) ?? {};
          [messages].flat().forEach((message, i) => pending.put({ plan, message }, ["", i]));
        } else if (there === undefined) kept.put(text, key);
        else if (key.startsWith("plan:") && there !== text) kept.put(text, `plan:${Math.random().toString(16).slice(2)}`);
      }
    });
    for (const [key] of texts) old.removeItem(PREFIX + key);
  }

  return { PREFIX, old, tab, within, answered, entries, messages, inherit, left, takeOver, onGone() {} };
})();
