/* Starts the worker at once, passes the page's messages to it and its answers back, and has the charts drawn.
   The build puts `const BUILD = {…}` and drawing.js before this file. */

const held = new Map(); // file embedded in the page, any in the single-file edition, to its text
for (const element of document.querySelectorAll("script[data-file]")) {
  held.set(element.dataset.file, element.textContent);
  element.remove();
}
const alone = held.has(BUILD.memory); // this page is the single file: nothing is fetched
const folder = new URL("./", document.baseURI).href;
const canRun = typeof WebAssembly !== "undefined";
let worker;
let charts; // once they are wanted
let begun = canRun && begin();

/* A worker made from a blob obeys this page's security policy; one made from a file obeys none. In the single file the runtime's
   scripts are part of the worker, which fetches them otherwise. */
async function begin() {
  const code = `self.FOLDER = ${JSON.stringify(folder)};\n${held.get("worker.js")}\n`;
  const scripts = alone ? await Promise.all(BUILD.scripts.map((file) => unpacked(held.get(file), file).blob())) : [];
  const made = new Worker(trusted.made([code, ...scripts]));
  worker = made;
  if (alone) {
    made.postMessage({ type: "files", files: held });
    progress(total);
  } else {
    const give = (told, passed) => made.postMessage({ type: "memory", ...told }, passed);
    snapshot().then((buffer) => give({ buffer }, [buffer]), (error) => give({ error }));
  }
  if (charts) made.postMessage({ type: "charts" });
  made.onmessage = (event) => made === worker && heard(event, made);
  made.onerror = ({ message, filename }) => {
    if (made === worker)
      trouble({ at: isReady ? "in_step" : "at_start", words: message, kind: message ? "program" : "worker", details: filename });
  };
  made.onmessageerror = () => watch.ended(made);
}

const mark = (name, at) => performance.mark(`pennyflat: ${name}`, at && { startTime: Math.max(0, at - performance.timeOrigin) });
mark("page script");

/* This script precedes the markup. */
const parsed = new Promise((ready) => addEventListener("DOMContentLoaded", ready));

const connected = parsed.then(() => canRun && connect());

/* Messages sent before Python runs wait for the worker, and then in it; it answers them in order. */
function connect() {
  return window.pennyflat.connect(async (message) => {
    await begun;
    worker.postMessage({ type: "message", text: JSON.stringify(message) });
  });
}

let over = false; // whether the calculator failed to start
let isReady = false; // whether Python is there

/* What draws the charts is fetched for the first one that is wanted; a plan's wait for their contents from Python. */
const SOONER_MS = 300; // for which Python may wait for it
let chartsCame;
const told = new Promise((come) => (chartsCame = come));
const chartsMade = () => (charts ??= makeCharts());

async function makeCharts() {
  Promise.resolve(begun).then(() => worker?.postMessage({ type: "charts" }));
  await drawing.shown();
  const scripts = Promise.all(BUILD.drawing.map(loadScript));
  sooner = Promise.race([scripts, new Promise((come) => setTimeout(come, SOONER_MS))]);
  await scripts;
  await connected; // now the stored plan is known
  if (picture.hasPlan || location.hash.includes(".")) await told;
  drawing.make(JSON.parse(held.get("charts.json")));
}

const noCharts = (error) => trouble({ at: "charts", words: String(error), details: error.stack, ...error });

/* Charts are drawn when their place or fold is opened, one at a time: between two of them the page answers. */
parsed.then(() => {
  let drawn = Promise.resolve();
  const opening = new ResizeObserver((changed) => {
    for (const { target, contentRect } of changed) {
      if (!contentRect.width) continue;
      opening.unobserve(target);
      drawn = drawn.then(chartsMade).then(() => drawing.draw(target)).then(drawing.shown);
      drawn.catch(noCharts);
    }
  });
  for (const place of document.querySelectorAll("[data-drawn]")) opening.observe(place);
});

async function loadScript(file) {
  const script = document.createElement("script");
  if (alone) script.text = trusted.code(await unpacked(held.get(file), file).text()); // runs at once
  return new Promise((loaded, failed) => {
    if (alone) loaded();
    else Object.assign(script, { src: trusted.address(file), async: false, integrity: BUILD.sums[file], onload: loaded });
    script.onerror = async () => failed(await whatIsWrong(file));
    document.head.append(script);
  });
}

/* One message after another, so that changes stay in order. */
let turn = Promise.resolve();
function heard({ data }, from) {
  watch.heard();
  if (data.type === "mark") mark(data.name, data.at);
  else
    turn = turn
      .then(() => from === worker && handlers[data.type](data, from))
      .catch((error) => trouble({ at: "in_step", words: String(error), details: error?.stack }));
}
if (!canRun) trouble({ at: "at_start", kind: "webassembly" });

/* A text in the page's language; needs the page to be parsed. */
function wording(key, gaps = {}) {
  const texts = JSON.parse(byId("texts").content.textContent);
  return texts[key].replaceAll(/\{(\w+)\}/g, (_, name) => gaps[name]);
}

/* What the worker says; `at` and `kind` of a trouble: see below. */
const handlers = {
  progress: ({ more }) => progress(more),
  /* Whatever holds the lock is alive; without locks, only silence reveals the end. */
  holds: ({ lock }, from) => void navigator.locks?.request(lock, () => watch.ended(from)).catch(() => {}),
  ready() {
    isReady = true;
    byId("starting")?.remove();
    keeping ??= setTimeout(() => {
      keep().catch((error) => console.warn(`This page is not kept for use without network: ${error.message}`));
    }, KEEP_AFTER_MS);
  },
  ended: ({ details }, from) => (console.error(details), watch.ended(from)), // Python failed in answering
  answer: ({ text }) => window.pennyflat.take(JSON.parse(text)),
  charts({ text }) {
    drawing.show(JSON.parse(text));
    chartsCame();
  },
  trouble,
};

/* Says what is wrong and what to do. Once the calculator has failed to start, later troubles are not shown.
   at, kind: ends of the keys of texts; the kind "program" has none, its `words` are the text. */
async function trouble({ at, kind = "program", file, words = "", details }) {
  console.error(details || words || kind);
  if (over) return;
  over = at === "at_start";
  await parsed;
  const place = byId("trouble");
  const [said, summary, pre] = place.querySelectorAll("p, summary, pre");
  const why = kind === "program" ? words : wording(`wrong.${kind}`, { file });
  said.textContent = wording(`wrong.${at}`, { why });
  summary.textContent = wording("wrong.details");
  pre.textContent = details || words || kind;
  place.hidden = false;
  if (kind === "damaged") navigator.serviceWorker?.controller?.postMessage("mend");
  if (at !== "in_step") byId("starting")?.remove();
  if (kind === "webassembly") return;
  const way = at === "in_step" ? ["watch.close", () => (place.hidden = true)] : ["wrong.again", () => location.reload()];
  said.append(" ", buttonThat(...way));
}

function buttonThat(words, onclick) {
  return Object.assign(document.createElement("button"), { type: "button", textContent: wording(words), onclick });
}

const KEEP_AFTER_MS = 5000; // storing the page would delay the first answers
let keeping; // begun once, however often Python starts anew

/* If it can, the browser stores the page; see service.js. */
async function keep() {
  if (alone || !navigator.serviceWorker) return;
  const { serviceWorker } = navigator, registration = await serviceWorker.register(trusted.address("service.js"));
  const offer = () => {
    const next = registration.waiting;
    if (!next || !serviceWorker.controller) return; // without one, this page already came from the network
    const button = buttonThat("update.take_over", () => {
      serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
      next.postMessage("take over");
    });
    byId("update").replaceChildren(wording("update.newer"), " ", button);
  };
  const follow = () => registration.installing?.addEventListener("statechange", offer);
  registration.addEventListener("updatefound", follow);
  follow();
  offer();
  // an installed page may stay open for weeks
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && registration.update().catch(() => {}));
}
