/* Stores the page on the device, so that it opens without network.
   The build puts `const KEPT = {version, files: {path: sum}, start: [path, …]}` and buffers.js before this file.

   Each version has its own cache, which is filled completely or not at all, each file checked against its sum. A page comes from
   the version whose worker was active when it was opened. A new version waits until the visitor asks for it, or until no page of
   the old one is open. */

const PREFIX = "pennyflat page ";
const OWN = PREFIX + KEPT.version;
const scope = self.registration.scope;

/* Adds missing and damaged files to the cache, one at a time and without copies: all at once would be in memory together. */
async function fill() {
  const cache = await caches.open(OWN);
  for (const file of Object.keys(KEPT.files)) {
    if (await isWhole(cache, file)) continue;
    // Reuse unchanged files of the previous version.
    const isThere = await isWhole(caches, file);
    await cache.put(scope + file, isThere ? await caches.match(scope + file) : await fetched(file));
  }
}

/* Reads a file only for its sum; it is matched again when it is put into a cache, so that it can stream. */
async function isWhole(place, file) {
  const found = await place.match(scope + file);
  return Boolean(found) && KEPT.files[file] === (await sumOf(await found.arrayBuffer()));
}

/* The page installs its first version once it has started, so the browser's cache has the files of the start, already checked: another
   check would take several times their size in memory. */
async function fetched(file) {
  const isChecked = !self.registration.active && KEPT.start.includes(file);
  const how = isChecked ? { cache: "force-cache" } : { cache: "no-cache", integrity: KEPT.files[file] };
  const answer = await fetch(scope + file, how);
  if (!answer.ok) throw new Error(`${answer.url} could not be fetched (${answer.status}).`);
  return answer;
}

/* Half a version is useless: the current one continues as it is, and the next visit tries again. */
const install = () => fill().catch((error) => caches.delete(OWN).then(() => Promise.reject(error)));

/* The previous version is kept for its pages that are still open. */
async function tidy() {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== OWN);
  await Promise.all(old.slice(0, -1).map((name) => caches.delete(name)));
}

/* The browser's own copy of WebAssembly comes first: the browser has compiled that one before. */
async function answer(request) {
  const file = request.url.slice(scope.length).replace(/[?#].*/, "") || "index.html";
  const where = file in KEPT.files ? { cacheName: OWN } : {};
  return (await ownCode(file)) ?? (await caches.match(scope + file, where)) ?? fetch(request);
}

/* The browser's own copy of a file of WebAssembly, without network, or null. */
async function ownCode(file) {
  if (!file.endsWith(".wasm")) return null;
  const own = await fetch(scope + file, { cache: "only-if-cached", mode: "same-origin" }).catch(() => null);
  return own?.ok ? own : null;
}

/* Replaces what is damaged, in the cache or in the browser's own. */
async function mend() {
  await fill();
  for (const [file, sum] of Object.entries(KEPT.files)) {
    const own = await ownCode(file);
    if (own && sum !== (await sumOf(await own.arrayBuffer()))) await fetch(scope + file, { cache: "reload" });
  }
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(tidy()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
  if (event.data === "mend") event.waitUntil(mend());
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && request.url.startsWith(scope)) event.respondWith(answer(request));
});
