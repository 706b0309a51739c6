/* Precedes the worker's other scripts in the single-file edition, after packed.js. That edition fetches nothing: the page passes
   its packed files to the worker in the first message. */

const PLACE = "https://pennyflat.invalid/"; // represents the folder of the files; never requested
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
  if (text === undefined) throw fileTrouble("missing", file, "it is not in this page");
  return unpacked(text, file);
};
const lateBytes = new Map(); // name of a bundle that is read synchronously, to its bytes
const lateOpened = Promise.all(
  Object.keys(BUILD.late).map(async (file) => lateBytes.set(file, await (await open(file)).arrayBuffer())),
);

const memory = lateOpened.then(() => open(BUILD.memory)).then((answer) => answer.arrayBuffer()); // then Python may read its files at any time

self.importScripts = () => {}; // they are part of the worker

self.fetch = (request) => open(String(request).slice(PLACE.length));

self.XMLHttpRequest = class {
  open(_, address) {
    this.file = address.slice(PLACE.length);
  }
  send() {
    this.status = 200;
    this.response = lateBytes.get(this.file);
  }
};
