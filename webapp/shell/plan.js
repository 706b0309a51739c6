/* Has plans solved in the background: an answer from Python may include {solve: {id, model}}, and Python is sent "solved".

   The solver is loaded for the first plan. Only the newest plan is wanted (none, after {solve: null}), and results of others are
   dropped. HiGHS receives no messages while it works: if it is not done by the time a new worker could be ready, its worker is
   terminated. The new one reuses the same compiled WebAssembly, including the browser's optimised code. */

(() => {
  const READY_MS = 100;
  let loading; // the address of its scripts, and its WebAssembly
  let worker, ending;
  let wanted, atWork; // plans: {id, model}

  document.addEventListener("pennyflat:answer", ({ detail: { solve: plan } }) => {
    if (plan === undefined) return;
    wanted = plan;
    if (atWork) ending ??= setTimeout(() => (leave(true), next()), READY_MS);
    else next();
  });

  /* A new Python numbers its plans from the start. */
  document.addEventListener("pennyflat:ended", () => {
    wanted = undefined;
    if (atWork) leave(true);
  });

  async function next() {
    const plan = wanted;
    if (!plan) return;
    try {
      const parts = await (loading ??= load());
      if (wanted !== plan) return;
      worker ??= begin(parts);
      worker.postMessage((atWork = plan));
    } catch (error) {
      loading = null; // the next plan tries again
      if (wanted === plan) tell(plan, { trouble: error.kind ? wording(`wrong.${error.kind}`, error) : error.message });
    }
  }

  async function load() {
    const [script, wasm] = await Promise.all(BUILD.solver.map(opened));
    const address = trusted.made([await script.blob(), `\n${held.get("solver.js")}`]);
    return { address, module: await WebAssembly.compile(await wasm.arrayBuffer()) };
  }

  function begin({ address, module }) {
    const made = new Worker(address);
    const done = (told) => {
      const plan = atWork;
      if (made !== worker) return;
      leave("trouble" in told); // the worker may be broken
      if (plan === wanted) tell(plan, told);
      else next();
    };
    made.onmessage = ({ data: { answer, trouble } }) => done(answer ?? { trouble });
    made.onerror = ({ message }) => done({ trouble: message });
    made.postMessage({ module, options: BUILD.options });
    return made;
  }

  function leave(forGood) {
    clearTimeout(ending);
    ending = atWork = undefined;
    if (!forGood) return;
    worker.terminate();
    worker = undefined;
  }

  function tell({ id }, told) {
    wanted = undefined;
    window.pennyflat.post({ do: "solved", id, ...told });
  }
})();
