/* Stands before the worker's other scripts in the edition that is a single file, after packed.js. There is nothing to fetch
   there: the page hands its files over, as they are packed in it, in the first message. */

const PLACE = "https://pennyflat.invalid/"; // stands for the folder of the files, and is never asked
self.FOLDER = PLACE;

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
  return unpacked(text, file.endsWith(".wasm") ? "application/wasm" : "application/octet-stream");
};
const lateBytes = new Map(); // name of a bundle that is read without waiting, to its bytes
const lateOpened = Promise.all(
  Object.keys(BUILD.late).map(async (file) => lateBytes.set(file, await (await open(file)).arrayBuffer())),
);

self.fetch = async (request) => {
  const file = String(request.url ?? request).slice(PLACE.length);
  if (file === BUILD.memory) await lateOpened; // Python may ask for its files as soon as it has that
  return open(file);
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
