/* Keeps the page on the device, so that it opens without network.
   The build puts `const KEPT = {version, files: {path: sum}}` and sum.js before this file.

   Each version has a cache of its own. It is filled whole or not at all, each file held to its sum. A page comes from the
   version whose worker was in charge when it was opened; what it asks for later lies under a name of its own. A new version
   waits until the visitor asks for it, or until no page of the old one is open. */

const PREFIX = "pennyflat page ";
const OWN = PREFIX + KEPT.version;
const scope = self.registration.scope;

/* Brings into the cache what is missing there or is not what it should be, one file after the other, and none of them twice: all
   at once, or with copies, would be in memory together. */
async function fill() {
  const cache = await caches.open(OWN);
  for (const file of Object.keys(KEPT.files)) {
    if (await isWhole(cache, file)) continue;
    // of the version before: what has not changed is not fetched again
    const isThere = await isWhole(caches, file);
    await cache.put(scope + file, isThere ? await caches.match(scope + file) : await fetched(file));
  }
}

/* Reads a file for its sum alone; what is then put into a cache is matched anew, so that it can stream. */
async function isWhole(place, file) {
  const found = await place.match(scope + file);
  return Boolean(found) && KEPT.files[file] === (await sumOf(await found.arrayBuffer()));
}

async function fetched(file) {
  const answer = await fetch(new Request(scope + file, { cache: "no-cache", integrity: KEPT.files[file] }));
  if (!answer.ok) throw new Error(`${answer.url} could not be fetched (${answer.status}).`);
  return answer;
}

/* Half a version is no use: what runs now goes on as it is, and the next visit tries again. */
async function install() {
  try {
    await fill();
  } catch (error) {
    await caches.delete(OWN);
    throw error;
  }
}

/* The version before is kept for pages of it that are still open. */
async function tidy() {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== OWN);
  await Promise.all(old.slice(0, -1).map((name) => caches.delete(name)));
}

async function answer(request) {
  const file = request.url.slice(scope.length).replace(/[?#].*/, "") || "index.html";
  const where = file in KEPT.files ? { cacheName: OWN } : {};
  return (await caches.match(scope + file, where)) ?? fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(tidy()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
  if (event.data === "mend") event.waitUntil(fill());
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && request.url.startsWith(scope)) event.respondWith(answer(request));
});
