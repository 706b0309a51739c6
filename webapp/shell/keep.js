/* What the page does on this device besides showing answers: it keeps text that Python gives it, hands over files and
   links, and prints.

   Kept text lies in localStorage under "pennyflat:" and a key; see webapp/share/keeping.py for what is in it. A plan is only
   written over if it still is what this tab last saw: if another tab has changed it, Python is told. What Python has not
   answered is kept as well and, if the page goes away, sent with the next hello. */

"use strict";

(() => {
  const PREFIX = "pennyflat:"; // pages opened from files share one storage
  const LATER_MS = 300; // of quiet, before what changed is written
  const LONGEST_FILE = 2_000_000;
  const PICTURE_WIDTH = 720; // of a chart that is saved, in px
  const TITLE_AND_KEY = 60; // their height
  const LONGEST_LINK = 100_001; // one more than Python takes: it says so then
  const page = window.pennyflat;
  const byId = (id) => document.getElementById(id);
  const storage = tryTo(() => (localStorage.setItem(`${PREFIX}try`, ""), localStorage.removeItem(`${PREFIX}try`), localStorage));
  const own = tryTo(() => sessionStorage); // of this tab: which plan is in hand
  const seen = new Map(); // key to the text that this tab last read or wrote
  const toWrite = new Map();
  let later = 0;
  let failing = false;
  let pending = false; // whether unanswered messages are kept

  function tryTo(work) {
    try {
      return work();
    } catch {
      return null;
    }
  }

  /* Earlier versions kept a copy of Python's memory here, and a note about it. */
  if (storage?.getItem(`${PREFIX}warm`) != null) {
    tryTo(() => indexedDB.deleteDatabase("pennyflat"));
    storage.removeItem(`${PREFIX}warm`);
  }

  /* ---- Reading ---- */

  function read(wanted) {
    const found = {};
    for (const name of storage ? Object.keys(storage) : []) {
      const key = name.slice(PREFIX.length);
      if (!name.startsWith(PREFIX) || !wanted(key)) continue;
      found[key] = storage.getItem(name);
      seen.set(key, found[key]);
    }
    return found;
  }

  const current = () => (own && own.getItem(`${PREFIX}current`)) ?? (storage && storage.getItem(`${PREFIX}current`));
  const ofPlan = (id) => (key) => key === `plan:${id}` || key.startsWith(`past:${id}:`);

  page.greeting = () => {
    const id = current();
    const kept = read((key) => key.startsWith("plan:") || key.startsWith(`past:${id}:`));
    const left = storage && tryTo(() => JSON.parse(storage.getItem(`${PREFIX}pending`)));
    storage?.removeItem(`${PREFIX}pending`);
    return {
      language: storage?.getItem(`${PREFIX}language`) ?? "",
      languages: [...navigator.languages],
      units: storage?.getItem(`${PREFIX}units`) ?? "",
      kept: id === null ? kept : { ...kept, current: id },
      pending: left && left.plan === id ? left.messages : [],
      link: linkIn(location.hash),
      storage: storage ? "" : "blocked",
    };
  };

  /* ---- Writing ---- */

  function keep(news) {
    for (const [key, text] of Object.entries(news)) {
      if (key === "current") tryTo(() => own.setItem(PREFIX + key, text));
      toWrite.set(key, text ?? null); // Python's None may come as undefined
    }
    clearTimeout(later);
    later = setTimeout(flush, LATER_MS);
  }

  function flush() {
    clearTimeout(later);
    if (!storage) return;
    for (const [key, text] of toWrite) {
      const there = storage.getItem(PREFIX + key);
      if (key.startsWith("plan:") && seen.has(key) && there !== seen.get(key) && there !== null) {
        toWrite.delete(key);
        seen.set(key, there);
        page.post({ do: "elsewhere", key, text: there, lost: true });
        continue;
      }
      try {
        if (text === null) storage.removeItem(PREFIX + key);
        else storage.setItem(PREFIX + key, text);
      } catch (error) {
        if (picture.drop()) return flush(); // that made room
        if (!failing) page.post({ do: "storage", text: error.name === "QuotaExceededError" ? "full" : "blocked" });
        failing = true;
        return; // it stays in toWrite, for the next time
      }
      toWrite.delete(key);
      seen.set(key, text);
    }
    if (failing) page.post({ do: "storage", text: "" });
    failing = false;
  }

  /* What Python has not answered yet is kept at once: a page may go away without a word. */
  function keepPending() {
    const messages = page.unanswered().filter(({ do: act }) => !["hello", "more", "solved"].includes(act));
    if (messages.length && storage) tryTo(() => storage.setItem(`${PREFIX}pending`, JSON.stringify({ plan: current(), messages })));
    else if (pending) storage?.removeItem(`${PREFIX}pending`);
    pending = messages.length > 0;
  }

  for (const kind of ["input", "change", "click"]) document.addEventListener(kind, keepPending);
  addEventListener("pagehide", leave);
  document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && leave());

  function leave() {
    flush();
    if (picture.later) picture.take();
  }

  addEventListener("storage", ({ storageArea, key: name, newValue }) => {
    if (storageArea !== storage || !name?.startsWith(`${PREFIX}plan:`)) return;
    const key = name.slice(PREFIX.length);
    if (toWrite.has(key) && newValue !== null) flush(); // it finds the other's text there and says so
    else if (newValue !== seen.get(key)) page.post({ do: "elsewhere", key, text: newValue, lost: false });
    seen.set(key, newValue);
  });

  document.addEventListener("pennyflat:answer", ({ detail: answer }) => {
    byId("fetching").hidden = true;
    if (answer.forget) forget();
    if (answer.keep) keep(answer.keep);
    if (answer.unlink && linkIn(location.hash)) history.replaceState(null, "", here());
    if (answer.print) setTimeout(() => print());
    const isLeft = leaving && answer.seq >= leaving.seq;
    if (answer.look) lookUp();
    else if (isLeft && !byId("notice").hasChildNodes()) goBack();
    if (isLeft) leaving = null;
    picture.takeLater();
    if (pending) {
      flush(); // an answered message is either kept as pending or in what is written
      keepPending();
    }
  });

  /* What a button at the end of the page leads to is said at its top; once that is read, it goes on where it was. */
  let lookedFrom = null;
  let leaving = null; // the message of a button in the notice

  function lookUp() {
    const notice = byId("notice");
    const focused = document.activeElement;
    if (focused !== document.body && !notice.contains(focused)) lookedFrom = focused;
    notice.querySelector("button")?.focus();
    notice.scrollIntoView({ block: "nearest" });
  }

  function goBack() {
    lookedFrom?.focus();
    lookedFrom = null;
  }

  function forget() {
    toWrite.clear();
    seen.clear();
    clearTimeout(picture.later);
    for (const place of [storage, own])
      for (const name of place ? Object.keys(place) : []) if (name.startsWith(PREFIX)) place.removeItem(name);
  }

  /* ---- Links ---- */

  const here = () => location.href.split("#")[0];

  /* What stands after the #, unless it is a place on this page. */
  function linkIn(hash) {
    if (hash.length < 2 || byId(hash.slice(1))) return "";
    return hash.slice(0, LONGEST_LINK);
  }

  addEventListener("hashchange", () => {
    const link = linkIn(location.hash);
    if (link) page.post({ do: "link", text: link });
  });

  /* Where the browser lets no page copy, the text is selected and the page says how to go on. */
  async function copy({ dataset: { from, toSay, done, press } }) {
    const field = byId(from);
    field.focus();
    field.select();
    const isCopied =
      (await navigator.clipboard?.writeText(field.value).then(() => true, () => false)) || document.execCommand("copy");
    byId(toSay).textContent = isCopied ? done : press;
  }

  /* ---- Files ---- */

  page.save = ({ name, type, text }) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  };

  document.addEventListener("change", async ({ target }) => {
    const { reads } = target.dataset;
    if (target.type !== "file" || !reads) return;
    const files = [...target.files];
    for (const file of files)
      page.post({ do: reads, name: file.name, text: file.size > LONGEST_FILE ? null : await file.text() });
    target.value = "";
  });

  /* A chart drawn once more, out of sight, as it is to look on paper. */
  async function saveChart({ chart, kind, name }) {
    const shown = Bokeh.index.roots.find(({ model }) => model.name === chart).model;
    const { Document } = Bokeh.require("document");
    const { Serializer } = Bokeh.require("core/serialization");
    const paper = Document.from_json({ version: Bokeh.version, title: "", roots: [new Serializer().encode(shown)] });
    const [copy] = paper.roots();
    drawing.putOnPaper(copy);
    copy.setv({ name: null, sizing_mode: "fixed", width: PICTURE_WIDTH, height: copy.height + TITLE_AND_KEY });
    const desk = document.createElement("div");
    desk.className = "unseen";
    desk.ariaHidden = "true";
    document.body.append(desk);
    const views = await Bokeh.embed.add_document_standalone(paper, desk);
    const blob = await views.get(copy).export(kind, true).to_blob();
    views.clear();
    desk.remove();
    page.save({ name, type: blob.type, text: blob });
  }

  /* ---- Buttons ---- */

  page.prepare = (message, button) => {
    const { from, sure, page: wantsPage } = button.dataset;
    if (button.closest("#notice")) leaving = message;
    if (sure && !confirm(sure)) return null;
    if (message.do === "copy-text") return void copy(button);
    if (message.do === "chart") return void saveChart(button.dataset);
    if (message.do === "plan") {
      flush();
      message.kept = read(ofPlan(message.text));
    }
    if (from) message.text = byId(from).value.slice(0, LONGEST_FILE);
    if (wantsPage !== undefined) message.page = here();
    return message;
  };

  /* A link that is pasted is taken at once, and so is one that is typed, with Return; the next one replaces it. */
  const takerOf = ({ id, localName }) =>
    id && localName === "input" ? document.querySelector(`button[data-from="${id}"]:not([data-do="copy-text"])`) : null;

  document.addEventListener("input", ({ inputType, target }) => {
    const taker = inputType === "insertFromPaste" && takerOf(target);
    if (!taker) return;
    taker.click();
    target.select();
  });

  document.addEventListener("keydown", ({ key, target }) => {
    if (key === "Enter") takerOf(target)?.click();
  });

  /* Without a picture of it, the example is on the page until Python answers; if there is a plan of one's own, it is not to be
     typed into. */
  if (!picture.isUp && picture.hasPlan) {
    page.hold(true);
    byId("fetching").hidden = false;
  }
})();
