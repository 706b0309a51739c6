/* This tab, and the messages that Python had not answered when other tabs closed (store.js). */

"use strict";

const tab = (() => {
  const { PREFIX } = store;
  const LONGEST_WAIT_MS = 300; // for a tab that has just been closed to release its lock
  const id = Math.random().toString(36).slice(2);

  picture.tryTo(() => navigator.locks.request(PREFIX + id, () => new Promise(() => {})).catch(() => {}));

  /* This tab's stored messages up to that number, as a range of keys. */
  const messages = (upTo) => IDBKeyRange.bound([id, -Infinity], [id, upTo]);

  /* Messages about that plan that were unanswered when their tab closed. They now belong to this tab, with numbers before its own. */
  async function inherit(plan) {
    const keys = await store.within("readonly", (_, pending) => store.answered(pending.getAllKeys()));
    const gone = new Set([id]);
    for (const other of new Set(keys.map(([other]) => other))) if (await isGone(other)) gone.add(other);
    if (!keys.length) return [];
    return store.within("readwrite", async (_, pending) => {
      const left = (await store.entries(pending)).filter(
        ([[from, seq], value]) => gone.has(from) && (from !== id || seq < 0) && value?.plan === plan && isMessage(value.message),
      );
      left.sort(([, one], [, other]) => (one.at ?? 0) - (other.at ?? 0)); // from several tabs: in the order typed
      for (const [key] of left) pending.delete(key);
      left.forEach(([, value], i) => pending.put(value, [id, i - left.length]));
      return left.map(([, { message }]) => message);
    });
  }

  const isMessage = (value) => typeof value?.do === "string" && ["path", "text"].every((name) => typeof (value[name] ?? "") === "string");

  /* Whether a tab has released its lock. One that holds it may be about to close. */
  async function isGone(other) {
    if (other === id || !navigator.locks) return true;
    const name = PREFIX + other, { held } = await navigator.locks.query();
    if (!held.some((lock) => lock.name === name)) return true;
    return navigator.locks.request(name, { signal: AbortSignal.timeout(LONGEST_WAIT_MS) }, () => true).catch(() => false);
  }

  return { id, messages, inherit };
})();
