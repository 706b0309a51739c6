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
  if (text === undefined) throw new FileTrouble("missing", file, "it is not in this page");
  const letters = atob(text), packed = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) packed[i] = letters.charCodeAt(i);
  return new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
};
const lateBytes = new Map(); // name of a bundle that worker.js fetches without waiting, to its bytes
const lateOpened = Promise.all(
  [...Object.values(BUILD.late), ...(HOW.restore ? [...BUILD.bundles, ...BUILD.charts] : [])].map(async (file) => lateBytes.set(file, await new Response(await open(file)).arrayBuffer())),
);

self.fetch = async (request) => {
  const file = String(request.url ?? request).slice(PLACE.length);
  if (file === BUILD.bundles.at(-1)) await lateOpened; // from then on its files may be asked for
  const type = file.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
  const answer = new Response(await open(file), { headers: { "Content-Type": type } });
  arrived(file);
  return answer;
};

self.XMLHttpRequest = class {
  open(_, address) {
    this.file = address.slice(PLACE.length);
  }
  send() {
    this.status = 200;
    this.response = lateBytes.get(this.file);
  }
};
