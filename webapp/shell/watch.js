/* Makes sure that the worker answers. A dead worker has released its lock; a stuck one stays silent. Either way a new one replaces
   it, opens the stored plan and receives the unanswered messages again. A message that was being worked on both times is left out,
   and named. Follows page.js. */

const watch = {
  TICK_MS: 1000, // there are none while the page sleeps
  BEHIND: 2, // ticks without an answer until the page says so
  SILENT: 15, // … until the worker is given up. Ours: ten times the longest answer on a slow phone
  MOST_ENDS: 6, // in quick succession
  SOON: 30, // ticks
  quiet: 0,
  lived: 0,
  ends: 0,
  strikes: new Map(), // message, or "hello", to how often a worker ended while working on it
  leftOut: [], // names
  isRestarted: false, // since the last answer

  heard: () => (watch.quiet = 0),

  tick() {
    watch.lived += 1;
    if (watch.lived > watch.SOON) watch.ends = 0;
    const working = window.pennyflat?.underWay() ?? [];
    if (over || !isReady || !working.length) return watch.heard();
    watch.quiet += 1;
    if (watch.quiet === watch.BEHIND && working.some(({ do: act }) => act !== "hello")) watch.say(wording("watch.behind"));
    if (watch.quiet > watch.SILENT) watch.ended(worker);
  },

  ended(made) {
    if (made !== worker || over) return;
    worker.terminate();
    watch.ends += 1;
    watch.lived = 0;
    if (watch.ends > watch.MOST_ENDS) return void trouble({ at: "at_start", kind: "stopped" });
    const page = window.pennyflat, { strikes } = watch;
    for (const message of page.underWay()) {
      const key = message.do === "hello" ? "hello" : message;
      strikes.set(key, (strikes.get(key) ?? 0) + 1);
    }
    const poor = strikes.get("hello") > 1; // then the stored plan or the link may be to blame
    const twice = poor ? null : [...strikes.keys()].find((key) => key !== "hello" && strikes.get(key) > 1);
    if (twice) {
      strikes.delete(twice);
      watch.leftOut.push(watch.called(twice));
    }
    watch.heard();
    watch.isRestarted = true;
    watch.say(wording("watch.restarting"));
    page.disconnect(twice);
    document.dispatchEvent(new CustomEvent("pennyflat:ended", { detail: { poor } }));
    isReady = false;
    begun = begin();
    connect();
  },

  /* A message in words: the name of its field or button, and what was typed. */
  called({ do: act, path, text }) {
    const own = path && CSS.escape(path);
    const element = own && document.querySelector(`[data-path="${own}"]`);
    const label = element?.labels?.[0]?.textContent ?? element?.ariaLabel ?? element?.textContent ?? path ?? "";
    return [label.trim() || act, text && String(text).slice(0, 60)].filter(Boolean).join(": ");
  },

  answered() {
    const { leftOut, isRestarted, strikes } = watch, left = window.pennyflat.unanswered();
    watch.heard();
    for (const key of strikes.keys()) if (!left.includes(key)) strikes.delete(key);
    if (leftOut.length) watch.say(wording("watch.left_out", { what: leftOut.splice(0).join("; ") }), true);
    else if (isRestarted) watch.say(wording("watch.restarted"), true);
    else if (!document.querySelector("#calculator button")) watch.say("");
    watch.isRestarted = false;
  },

  say(words, mayClose = false) {
    const place = byId("calculator");
    place.replaceChildren(...(words ? [words] : []));
    if (mayClose) place.append(" ", buttonThat("watch.close", () => place.replaceChildren()));
  },
};

setInterval(watch.tick, watch.TICK_MS);
document.addEventListener("pennyflat:answer", watch.answered);

/* Paper shows no old figure as if it were current. */
addEventListener("beforeprint", () => {
  const page = window.pennyflat, isSilent = !byId("calculator").hasChildNodes();
  if (isSilent && page?.unanswered().some(page.isWork)) watch.say(wording("watch.behind"));
});
