/* Stores on this device the text that Python gives it, by key (store.js, webapp/share/keeping.py), and calls it saved when that is
   done. A plan is only overwritten if it is still the version that this tab's Python knew when it changed it: otherwise Python is
   told. Messages are stored, too, until their result is; if the page closes before that, they are sent with the next hello. */

(() => {
  const { PREFIX } = store;
  const RETRY_MS = 5000; // after a failed write
  const MOST_PAST = 20; // earlier states of a plan, as in webapp/share/keeping.py
  const page = window.pennyflat;
  const { tryTo } = picture, { isWork } = page;
  const own = tryTo(() => sessionStorage); // this tab's: which plan is open
  const channel = tryTo(() => new BroadcastChannel(`${PREFIX}kept`)); // to the other tabs: changed keys
  const seen = new Map(); // key to the text that Python knows
  const toKeep = new Map(); // key to text, null to delete
  const based = new Map(); // plan in there to the text that Python knew when it changed it
  let told = []; // what Python is being told about other tabs: {message, key, text, unkept}
  let forgets = 0;
  let lastAnswered = -Infinity;
  let isGreeted = false;
  let isPoor = false, wasPoor = false; // greeted without whatever may have ended Python
  let isWriting = false, later = 0;
  let failing = ""; // "full" or "blocked" while nothing can be stored
  const noted = new Set(); // numbers of messages that are stored because they are unanswered

  const isPlan = (key) => key.startsWith("plan:");
  const plansIn = (keys) => [...keys].filter(isPlan);
  const ofPlan = (id) => (key) => key === `plan:${id}` || key.startsWith(`past:${id}:`);
  const withPlan = (plan) => ofPlan(plan.slice("plan:".length));
  const partOf = (texts, isPart) => Object.fromEntries([...texts].filter(([key]) => isPart(key)));
  const textOf = (value) => (typeof value === "string" ? value : ""); // Python cannot read anything else

  /* ---- Reading ---- */

  const starting = (words) => IDBKeyRange.bound(words, `${words}\uffff`);

  const inHand = (texts = seen) => {
    const id = tryTo(() => own.getItem(`${PREFIX}current`));
    return texts.has(`plan:${id}`) || toKeep.has(`plan:${id}`) ? id : (texts.get("current") ?? null);
  };

  /* The settings, all plans, and the earlier states of one of them: text by key. */
  async function read(idOf = () => null) {
    const found = await store.within("readonly", async (kept) => {
      const plans = await store.entries(kept, starting("plan:"));
      const settings = await Promise.all(["current", "language", "units", "visit"].map(async (key) => [key, await store.answered(kept.get(key))]));
      const known = new Map([...plans, ...settings].filter(([, value]) => value !== undefined));
      return [...known, ...(await store.entries(kept, starting(`past:${idOf(known)}:`)))];
    });
    return new Map(found.map(([key, value]) => [key, textOf(value)]));
  }

  /* The same for Python, which then knows it, with what is still to be stored. Without storage, an earlier version's text will do. */
  async function learnt(idOf, isOf = () => true) {
    const found = await read(idOf).catch(() => null);
    if (!found) failing ||= "blocked";
    for (const [key, text] of found ?? (seen.size ? [] : store.left())) if (isOf(key)) seen.set(key, text);
    const now = new Map(found ?? seen);
    for (const [key, text] of toKeep) learn(now, key, text);
    return now;
  }

  const learn = (texts, key, text) => (text === null ? texts.delete(key) : texts.set(key, text));

  page.greeting = async () => {
    const link = page.link(); // another place may be opened while the storage is asked
    await store.takeOver().catch(() => {});
    for (const [key, text] of untold()) if (!toKeep.has(key)) toKeep.set(key, text);
    const found = await learnt(inHand), id = inHand();
    const missed = await store.inherit(id).catch(() => []);
    missed.forEach((_, i) => noted.add(i - missed.length));
    const stand = standing(missed.length > 0), had = picture.stand;
    picture.check(stand);
    picture.note(stand);
    if (!isGreeted) {
      if (had.print !== null && !failing && !plansIn(seen.keys()).length) watch.say(wording("keep.evicted"), true);
      if (!picture.isUp && (stand.print !== null || seen.has("visit"))) fetching();
    }
    isGreeted = true;
    if (isPoor) return poorly(found, id, missed);
    const kept = partOf(found, (key) => isPlan(key) || ofPlan(id)(key));
    if (id !== null) kept.current = id;
    return { ...settings(), kept, pending: missed, link, visit: seen.get("visit") ?? "" };
  };

  const chosen = () => ({ language: seen.get("language") ?? "", units: seen.get("units") ?? "" });
  const settings = () => ({ ...chosen(), languages: [...navigator.languages], storage: failing });

  /* What picture.js must know before the storage can be read. */
  function standing(pending) {
    const plan = inHand(), text = seen.get(`plan:${plan}`);
    return { plan, print: text === undefined ? null : fingerprint(text), ...chosen(), pending };
  }

  /* Python has ended twice when it was greeted: the plan is listed but not opened. */
  async function poorly(found, id, missed) {
    const title = tryTo(() => JSON.parse(found.get(`plan:${id}`)).title);
    watch.leftOut.push(title ? `${wording("watch.whole_plan")}: ${title}` : wording("watch.whole_plan"), ...missed.map(watch.called));
    [isPoor, wasPoor] = [false, true];
    for (const seq of noted) if (seq < 0) noted.delete(seq);
    tryTo(() => own.removeItem(`${PREFIX}current`));
    for (const key of ["current", "visit"]) seen.delete(key);
    if (page.link()) page.unlink();
    await store.within("readwrite", (kept, pending) => (kept.delete("current"), kept.delete("visit"), pending.delete(store.messages(0)))).catch(() => {});
    return { ...settings(), kept: partOf(found, isPlan), pending: [], link: "" };
  }

  document.addEventListener("pennyflat:ended", ({ detail: { poor } }) => (isPoor = poor));

  /* Python's first answer is on its way; until then the page must not be typed into. */
  function fetching() {
    page.hold(true);
    byId("fetching").hidden = false;
  }

  /* ---- Unanswered messages ---- */

  /* Stores what Python has not answered yet at once, since a page may close without notice. */
  function keepPending() {
    const now = new Map(page.unanswered().filter(isWork).map((message) => [message.seq, message]));
    const fresh = [...now.keys()].filter((seq) => !noted.has(seq));
    const replaced = [...noted].filter((seq) => seq > Math.max(0, lastAnswered) && !now.has(seq));
    if (!fresh.length && !replaced.length) return;
    if (!noted.size) picture.note({ ...picture.stand, pending: true });
    for (const seq of fresh) noted.add(seq);
    for (const seq of replaced) noted.delete(seq);
    const plan = isGreeted ? inHand() : picture.plan;
    store
      .within("readwrite", (_, pending) => {
        for (const seq of fresh) pending.put({ plan, at: Date.now(), message: { ...now.get(seq) } }, [store.tab, seq]);
        for (const seq of replaced) pending.delete([store.tab, seq]);
      })
      .catch(fail);
  }

  for (const kind of ["input", "change", "click"]) document.addEventListener(kind, keepPending);

  /* ---- Writing ---- */

  function keep(news) {
    for (const [key, text] of Object.entries(news)) {
      if (key === "current") tryTo(() => own.setItem(PREFIX + key, text));
      toKeep.set(key, text ?? null); // Python's None may arrive as undefined
      if (isPlan(key)) based.set(key, seen.get(key));
    }
  }

  /* Writes until nothing is left to store. */
  async function flush() {
    const isDue = () => toKeep.size || [...noted].some((seq) => seq <= lastAnswered);
    if (isWriting || !isGreeted || !isDue()) return;
    clearTimeout(later);
    isWriting = true;
    showKept();
    try {
      while (isDue()) {
        const upTo = lastAnswered;
        if (failing) await store.takeOver();
        await write(new Map(toKeep), upTo);
        for (const seq of noted) if (seq <= upTo) noted.delete(seq);
      }
      if (failing) page.post({ do: "storage", text: "" });
      failing = "";
      picture.note(standing(noted.size > 0));
    } catch (error) {
      fail(error);
    } finally {
      isWriting = false;
      showKept();
    }
  }

  async function write(batch, upTo) {
    const isFirst = !plansIn(seen.keys()).length, before = forgets;
    const { lost, written, twin } = await store.within("readwrite", (kept, pending) => put(kept, pending, batch, upTo));
    if (before !== forgets) return;
    for (const [key, text] of written) {
      learn(seen, key, text);
      based.set(key, text ?? undefined);
    }
    for (const [key, text] of batch) if (toKeep.get(key) === text) toKeep.delete(key); // else there is a newer one
    told = told.filter(({ key }) => !written.has(key)); // it is this tab's again
    for (const [key, text] of lost) tell(key, text, partOf(batch, withPlan(key)));
    if (twin) tellOfTwin(twin, plansIn(batch.keys())[0], Object.fromEntries(batch));
    const plans = plansIn(written.keys());
    if (plans.length) channel?.postMessage(plans);
    if (isFirst && plans.length) tryTo(() => navigator.storage.persist().catch(() => {})); // the first plan is worth asking for that
  }

  /* In one transaction. `lost`: plans that another tab has changed, with their texts; they are not written. `twin`: a plan that
     another tab made from the example, when this tab is making one, too. */
  async function put(kept, pending, batch, upTo) {
    const lost = new Map(), written = new Map(), plans = plansIn(batch.keys());
    const base = new Map(plans.map((key) => [key, based.get(key)])); // as it is now: Python may be told while this asks
    const twin = await twinOf(kept, batch);
    for (const key of twin ? [] : plans) {
      const there = await store.answered(kept.get(key));
      if (there !== undefined && textOf(there) !== base.get(key)) lost.set(key, textOf(there));
    }
    for (const [key, text] of batch) {
      if (twin || [...lost.keys()].some((plan) => withPlan(plan)(key))) continue;
      const [to, what] = key.startsWith("past:") && text !== null ? await placed(kept, key, text) : [key, text];
      if (what === null) kept.delete(to);
      else kept.put(what, to);
      written.set(to, what);
    }
    if (!lost.size && !twin) pending.delete(store.messages(upTo));
    return { lost, written, twin };
  }

  /* An earlier state with its key. If another tab has used its number, it follows the last one, and so do later states. */
  async function placed(kept, key, text) {
    const start = key.slice(0, key.lastIndexOf(":") + 1), state = JSON.parse(text);
    let { number } = state;
    if (numberOf(await store.answered(kept.get(`${start}${number % MOST_PAST}`))) >= number) {
      const others = await store.answered(kept.getAll(starting(start)));
      number = Math.max(...others.map(numberOf)) + 1;
    }
    return [`${start}${number % MOST_PAST}`, JSON.stringify({ ...state, number })];
  }

  const numberOf = (text) => {
    const number = tryTo(() => JSON.parse(text).number);
    return Number.isInteger(number) ? number : -1;
  };

  async function twinOf(kept, batch) {
    const isNew = ([key, text]) => isPlan(key) && text !== null && !seen.has(key);
    if (seen.has("current") || ![...batch].some(isNew)) return null;
    const id = await store.answered(kept.get("current"));
    const text = id === undefined ? undefined : await store.answered(kept.get(`plan:${id}`));
    return text === undefined || batch.has(`plan:${id}`) ? null : { id, text: textOf(text) };
  }

  /* Python stores its own under another name, as when two tabs change one plan; that one has no twin. */
  function tellOfTwin({ id, text }, ownKey, unkept) {
    tell(`plan:${id}`, text);
    tell(ownKey, text, unkept);
    told.push({ ...told.at(-1), key: "current", text: id, unkept: {} });
    tell(ownKey, null);
  }

  function fail(error) {
    const kind = error?.name === "QuotaExceededError" ? "full" : "blocked";
    if (failing !== kind) page.post({ do: "storage", text: kind });
    failing = kind;
    showKept();
    clearTimeout(later);
    later = setTimeout(flush, RETRY_MS);
  }

  /* ---- Whether it is stored ---- */

  const isUnkept = () => [...toKeep].some(([key, text]) => isPlan(key) && text !== null);
  picture.isKept = () => !isWriting && !failing && !toKeep.size;

  /* Python's text says when the plan was saved last; it is hidden until that is true. */
  function showKept() {
    for (const claim of document.querySelectorAll("#plans-gist, [data-claims-kept]")) claim.hidden = isUnkept();
    byId("plans-unkept").hidden = !isUnkept();
  }

  addEventListener("beforeunload", (event) => {
    if (failing && (isUnkept() || page.unanswered().some(isWork))) event.preventDefault();
  });

  addEventListener("pagehide", leave);
  document.addEventListener("visibilitychange", () => (document.visibilityState === "hidden" ? leave() : look()));

  function leave() {
    flush();
    if (picture.later) picture.take();
  }

  /* ---- Other tabs ---- */

  /* This tab may only overwrite a text that Python knows. `unkept`: what it could not store therefore. */
  function tell(key, text, unkept = {}) {
    const message = { do: "elsewhere", key, text, own: unkept[key] ?? null };
    page.post(message);
    told.push({ message, key, text, unkept });
  }

  /* Takes back what Python has not received yet; returns what could not be stored: [[key, text]]. */
  function untold() {
    for (const { message } of told) message.key = "";
    return told.splice(0).flatMap(({ unkept }) => Object.entries(unkept));
  }

  /* Notices changes by other tabs. */
  async function look() {
    const before = forgets;
    const found = isGreeted && !failing && (await read().catch(() => null));
    if (!found || before !== forgets) return;
    const isFree = () =>
      !wasPoor && inHand() === null && !toKeep.size && !page.unanswered().some(isWork) && !byId("notice").hasChildNodes();
    const isNews = isFree() && !told.length;
    const known = (key) => told.findLast((one) => one.key === key) ?? { text: seen.get(key) ?? null };
    for (const key of new Set(plansIn([...found.keys(), ...seen.keys()]))) {
      const text = found.get(key) ?? null;
      if (text !== known(key).text) tell(key, text);
    }
    const id = found.get("current");
    if (isNews && found.has(`plan:${id}`)) page.openPlan({ do: "plan", text: id }, isFree); // the example becomes that plan here, too
  }

  channel?.addEventListener("message", look);
  store.onGone = look;

  page.openPlan = async (message, isWanted = () => true) => {
    const found = await learnt(() => message.text, ofPlan(message.text));
    if (!isWanted()) return;
    message.kept = partOf(found, ofPlan(message.text));
    page.post(message);
  };

  document.addEventListener("pennyflat:answer", ({ detail: answer }) => {
    byId("fetching").hidden = true;
    lastAnswered = Math.max(lastAnswered, answer.seq);
    for (const { message, key, text } of told) if (message.seq <= answer.seq) learn(seen, key, text);
    told = told.filter(({ message }) => message.seq > answer.seq);
    picture.isLooking = answer.looking ?? picture.isLooking;
    if (answer.forget) forget();
    if (answer.keep) keep(answer.keep);
    picture.takeLater();
    keepPending();
    flush();
  });

  function forget() {
    const plans = plansIn(seen.keys());
    forgets += 1;
    for (const map of [toKeep, seen, noted, based]) map.clear();
    untold();
    clearTimeout(picture.later);
    for (const place of [store.old, own])
      for (const name of Object.keys(place ?? {})) if (name.startsWith(PREFIX)) place.removeItem(name);
    store
      .within("readwrite", (...stores) => stores.forEach((one) => one.clear()))
      .then(() => channel?.postMessage(plans), fail);
  }

  /* Without a picture, the example is on the page until Python answers; if the reader has a plan, it must not be typed into. */
  if (!picture.isUp && picture.hasPlan) fetching();
})();
