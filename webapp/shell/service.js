/* Keeps the page on the device, so that it opens without network.
   The build puts `const KEPT = {version, files: {path: sum}}` before this file.

   Each version has a cache of its own. It is filled whole or not at all, each file held to its sum, and a page is answered from
   one version alone: the one whose worker was in charge when it was opened. A new version waits until the visitor asks for it,
   or until no page of the old one is open. */

const PREFIX = "pennyflat ";
const scope = self.registration.scope;
const cacheOf = (version) => caches.open(PREFIX + version);
const fetched = (file) => fetch(new Request(scope + file, { cache: "no-cache", integrity: KEPT.files[file] }));

async function fill() {
  const cache = await cacheOf(KEPT.version);
  try {
    await Promise.all(Object.keys(KEPT.files).map(async (file) => cache.put(scope + file, await whole(await fetched(file)))));
  } catch (error) {
    await caches.delete(PREFIX + KEPT.version); // what runs now goes on as it is; the next visit tries again
    throw error;
  }
}

function whole(answer) {
  if (!answer.ok) throw new Error(`${answer.url} could not be fetched (${answer.status}).`);
  return answer;
}

/* The version before is kept for pages of it that are still open. */
async function tidy() {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== PREFIX + KEPT.version);
  await Promise.all(old.slice(0, -1).map((name) => caches.delete(name)));
}

async function answer(request, file, version) {
  const kept = await (await cacheOf(version)).match(scope + file);
  if (kept) return kept;
  // missing although it was kept: the browser made room. Only the very same file may take its place
  return file in KEPT.files && version === KEPT.version ? fetched(file) : fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(fill()));
self.addEventListener("activate", (event) => event.waitUntil(tidy()));
self.addEventListener("message", ({ data }) => {
  if (data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event, address = new URL(request.url);
  if (request.method !== "GET" || !request.url.startsWith(scope)) return;
  const file = address.href.slice(scope.length).replace(/[?#].*/, "") || "index.html";
  const version = address.searchParams.get("build") ?? KEPT.version;
  if (file in KEPT.files) event.respondWith(answer(request, file, version));
});
