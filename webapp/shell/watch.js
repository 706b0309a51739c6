/* Sees to it that somebody answers. A worker that is no more has let go of its lock; one that stands still says nothing. Either
   way another one takes its place, from the same picture of memory, opens what is kept, and gets again what was not answered.
   What was under way twice when that happened is left out, and named. Stands after page.js. */

const watch = {
  TICK_MS: 1000, // while the page sleeps there are none
  BEHIND: 2, // ticks without an answer, until that is said
  SILENT: 15, // … until the worker is given up. Ours: ten times the longest answer on a slow telephone
  MOST_ENDS: 6, // one soon after the other
  SOON: 30, // ticks
  quiet: 0,
  lived: 0,
  ends: 0,
  strikes: new Map(), // message, or "hello", to how often it was under way at an end
  leftOut: [], // names
  isRestarted: false, // since the last answer

  heard() {
    watch.quiet = 0;
  },

  /* What holds the lock is alive; without locks there is only the silence to go by. */
  holds(lock, made) {
    navigator.locks?.request(lock, () => watch.ended(made)).catch(() => {});
  },

  tick() {
    watch.lived += 1;
    if (watch.lived > watch.SOON) watch.ends = 0;
    if (over || !isReady || !window.pennyflat?.underWay().length) return void (watch.quiet = 0);
    watch.quiet += 1;
    if (watch.quiet === watch.BEHIND) watch.say(wording("watch.behind"));
    if (watch.quiet > watch.SILENT) watch.ended(worker);
  },

  ended(made) {
    if (made !== worker || over) return;
    worker.terminate();
    watch.ends += 1;
    watch.lived = 0;
    const isOver = watch.ends > watch.MOST_ENDS;
    if (isOver) return void trouble({ at: "at_start", kind: "stopped" });
    const { page, strikes } = watch;
    for (const message of page.underWay()) {
      const key = message.do === "hello" ? "hello" : message;
      strikes.set(key, (strikes.get(key) ?? 0) + 1);
    }
    const poor = strikes.get("hello") > 1; // then the kept plan may be to blame, or the link
    const twice = poor ? null : [...strikes.keys()].find((key) => key !== "hello" && strikes.get(key) > 1);
    if (twice) {
      strikes.delete(twice);
      watch.leftOut.push(watch.called(twice));
    }
    watch.quiet = 0;
    watch.isRestarted = true;
    watch.say(wording("watch.restarting"));
    page.disconnect(twice);
    document.dispatchEvent(new CustomEvent("pennyflat:ended", { detail: { poor } }));
    isReady = false;
    begun = begin();
    connect();
  },

  get page() {
    return window.pennyflat;
  },

  /* A message in words: the name of its field or button, and what was typed. */
  called({ do: act, path, text }) {
    const own = path && CSS.escape(path);
    const element = own && document.querySelector(`[data-path="${own}"]`);
    const label = element?.labels?.[0]?.textContent ?? element?.ariaLabel ?? element?.textContent ?? path ?? "";
    return [label.trim() || act, text && String(text).slice(0, 60)].filter(Boolean).join(": ");
  },

  answered() {
    const { page, leftOut, isRestarted } = watch;
    watch.quiet = 0;
    for (const key of watch.strikes.keys()) if (key === "hello" || !page.unanswered().includes(key)) watch.strikes.delete(key);
    if (leftOut.length) watch.say(wording("watch.left_out", { what: leftOut.splice(0).join("; ") }), true);
    else if (isRestarted) watch.say(wording("watch.restarted"), true);
    else if (!document.querySelector("#calculator button")) watch.say("");
    watch.isRestarted = false;
  },

  say(words, mayClose = false) {
    const place = document.getElementById("calculator");
    place.replaceChildren(...(words ? [words] : []));
    if (mayClose) place.append(" ", buttonThat("watch.close", () => place.replaceChildren()));
  },
};

setInterval(watch.tick, watch.TICK_MS);
document.addEventListener("pennyflat:answer", watch.answered);
