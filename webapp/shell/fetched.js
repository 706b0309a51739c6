/* Fetches files of the page, each checked against its sum. The snapshot of Python's memory is fetched here, since the worker is busy
   with the runtime's scripts meanwhile and would receive it later. Follows about.js and buffers.js. */

/* A file as its response, unless something is wrong with it. */
async function opened(file) {
  if (held.has(file)) return unpacked(held.get(file), file);
  const answer = await fetch(file, { integrity: BUILD.sums[file] }).catch(() => ({ ok: false }));
  if (!answer.ok) throw await whatIsWrong(file);
  return answer;
}

/* Fetches a file again that did not arrive as it should; returns a trouble. */
async function whatIsWrong(file) {
  const answer = await fetch(file).catch(() => null);
  const isWhole = await answer?.arrayBuffer().then(() => true, () => false); // the connection may break halfway
  const kind = !isWhole ? "unreachable" : answer.ok ? "damaged" : "missing";
  return { kind, file: file.split("/").at(-1), details: file };
}

let sooner = Promise.resolve(); // what is loaded before Python's memory is read

/* The snapshot of Python's memory, anew for each worker: a buffer. */
async function snapshot() {
  const file = BUILD.memory, bytes = new Uint8Array(BUILD.bytes[file]);
  let length = 0;
  try {
    const { body } = await fetch(file), reader = body.getReader();
    for (;;) {
      await sooner.catch(() => {});
      const { done, value } = await reader.read();
      if (done) break;
      bytes.set(value, length); // a RangeError if there is too much
      length += value.length;
      progress(value.length);
      discard(value.buffer);
    }
    // there are no sums over plain HTTP from another machine
    if (length < bytes.length || (crypto.subtle && (await sumOf(bytes)) !== BUILD.sums[file])) throw new Error("It is damaged.");
  } catch {
    throw await whatIsWrong(file);
  }
  mark("python.memory there");
  return bytes.buffer;
}

const PROGRESS_MS = 100; // between two times that progress is shown
const total = Object.values(BUILD.bytes).reduce((sum, bytes) => sum + bytes, 0);
let got = 0, shownAt = -PROGRESS_MS;

async function progress(more) {
  got += more;
  const now = performance.now();
  if (now - shownAt < PROGRESS_MS) return;
  shownAt = now;
  await parsed;
  const starting = byId("starting");
  if (!starting) return;
  Object.assign(starting.querySelector("progress"), { max: total, value: Math.min(got, total) });
  const mega = (bytes) => (bytes / 1e6).toFixed(1);
  starting.querySelector("output").textContent =
    got < total ? wording("start.fetched", { got: mega(got), of: mega(total) }) : wording("start.python");
}
