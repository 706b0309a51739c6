/* The snapshot of Python's memory, which the page fetches for the worker. Precedes worker.js; in the single file, held.js does instead. */

const memory = new Promise((take, fail) => {
  self.addEventListener("message", function given(event) {
    const { type, buffer, error } = event.data;
    if (type !== "memory") return;
    event.stopImmediatePropagation(); // worker.js listens too
    self.removeEventListener("message", given);
    error ? fail(error) : take(buffer);
  });
});
