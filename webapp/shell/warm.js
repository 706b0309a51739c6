/* Whether a start may come from a snapshot of the last one, and whether one is to be taken; see snapshot.js.
   Stands before page.js.

   What is known about it lies in localStorage: {key, bytes, trying, left, failures, off}. A snapshot is good for one key: this
   very build, browser, version of it and difference to UTC. `trying`, when, is written before a snapshot is used and taken away once
   Python has answered from it. If a later start finds it there, that one did not come up: the snapshot goes, and after the second
   time none is taken any more. `left` counts starts that the visitor did not wait for; the second is taken for one that hung.
   Where anything is amiss, the start is the plain one. */

const warm = {
  ITEM: "pennyflat:warm",
  FORMAT: 1, // of a snapshot
  PATIENCE_MS: 20_000, // with a snapshot; then it counts as failed
  MOST_FAILURES: 2,
  MOST_LEFT: 2,
  LEAST_MEMORY_GB: 4, // browsers say no more than 8, and some nothing

  get key() {
    const now = new Date(), offset = (month) => new Date(now.getFullYear(), month, 1).getTimezoneOffset();
    // what the runtime knows of the time zone, too; to ask for its name takes as long as starting a worker does
    return [warm.FORMAT, BUILD.version, offset(0), offset(6), navigator.userAgent].join(" ");
  },

  get note() {
    try {
      return JSON.parse(localStorage.getItem(warm.ITEM)) ?? {};
    } catch {
      return {};
    }
  },
  set note(note) {
    try {
      localStorage.setItem(warm.ITEM, JSON.stringify(note));
    } catch {
      // then it is not there either when it is asked for
    }
  },
  change: (changes) => (warm.note = { ...warm.note, ...changes }),

  /* How to start now: {key, restore, keep}. */
  how() {
    try {
      return warm.decide();
    } catch {
      return { restore: false, keep: false }; // a browser that keeps nothing for this page may say so by an error
    }
  },
  decide() {
    const { key } = warm, plain = { key, restore: false, keep: false };
    if (!isSecureContext || !indexedDB || (navigator.deviceMemory ?? warm.LEAST_MEMORY_GB) < warm.LEAST_MEMORY_GB) return plain;
    if (warm.note.key !== key) {
      warm.drop();
      warm.note = { key, off: warm.note.off };
    }
    const { trying, bytes, left = 0, failures = 0 } = warm.note;
    if (!warm.isOn) return plain;
    if (trying) {
      // perhaps another tab is at it this moment
      if (Date.now() - trying > warm.PATIENCE_MS) warm.failed();
      return plain;
    }
    if (left >= warm.MOST_LEFT) {
      warm.failed();
      return plain;
    }
    if (!bytes) return { ...plain, keep: failures < warm.MOST_FAILURES };
    warm.change({ trying: Date.now() });
    return { ...plain, restore: true };
  },

  kept(bytes) {
    if (warm.isOn) warm.change({ bytes });
    else warm.drop(); // it was switched off meanwhile, or everything forgotten
  },
  /* Whether the visitor lets it be, where it can be at all. */
  get isOn() {
    return warm.note.key === warm.key && !warm.note.off;
  },
  /* Lets the visitor decide by a box to tick. */
  offer(box) {
    box.disabled = warm.note.key !== warm.key; // this browser or device is not one for it
    box.checked = warm.isOn;
    box.addEventListener("change", () => {
      warm.change({ off: !box.checked, trying: undefined, bytes: undefined });
      if (!box.checked) warm.drop();
    });
  },

  worked: () => warm.change({ trying: undefined, left: undefined }),
  leftBefore: () => warm.change({ trying: undefined, left: (warm.note.left ?? 0) + 1 }),
  failed() {
    warm.change({ trying: undefined, left: undefined, bytes: undefined, failures: (warm.note.failures ?? 0) + 1 });
    warm.drop();
  },
  drop() {
    try {
      indexedDB.deleteDatabase("pennyflat");
    } catch {
      // then there is none either
    }
  },
};
