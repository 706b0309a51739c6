/* Stands before the worker's other scripts in the edition that is a single file. There is nothing to fetch there: the page
   hands its files over, compressed and written as text, in the first message. */

const PLACE = "https://pennyflat.invalid/"; // stands for the folder of the files, and is never asked
self.FOLDER = PLACE;
self.HELD = true; // the runtime's scripts stand below

const handedOver = new Promise((take) => {
  const first = (event) => {
    event.stopImmediatePropagation(); // worker.js listens too
    take(event.data.files);
  };
  self.addEventListener("message", first, { once: true });
});
const open = async (file) => {
  const text = (await handedOver).get(file);
  if (text === undefined) throw new TypeError(`${file} is not in this page.`);
  const letters = atob(text), packed = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) packed[i] = letters.charCodeAt(i);
  return new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
};
const restOpened = open(BUILD.rest).then((stream) => new Response(stream).arrayBuffer());

self.fetch = async (request) => {
  const file = String(request.url ?? request).slice(PLACE.length);
  if (file === BUILD.bundles.at(-1)) await restOpened; // from then on it may be asked for
  const type = file.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
  const answer = new Response(await open(file), { headers: { "Content-Type": type } });
  arrived(file);
  return answer;
};

/* What worker.js fetches without waiting: the rest. */
let restBytes;
restOpened.then((bytes) => (restBytes = bytes));
self.XMLHttpRequest = class {
  open() {}
  send() {
    this.status = 200;
    this.response = restBytes;
  }
};
