/* Has plans solved beside everything else: an answer of Python's may bring {solve: {id, model}}, and Python is told
   {do: "solved", id, values, objective, bound, proven, status}, or {do: "solved", id, trouble}; see solver.js.

   The solver is loaded when the first plan comes. Only the newest is wanted (none, after {solve: null}), and of the others
   nothing is told. HiGHS hears nothing while it is at work: if it is not done in the time that a new worker takes to be ready,
   its worker is ended. The new one takes the same compiled WebAssembly, with all that the browser has made of it since. */

(() => {
  const READY_MS = 100;
  let loading; // the address of its scripts, and its WebAssembly
  let worker, ending;
  let wanted, atWork; // plans: {id, model}

  document.addEventListener("pennyflat:answer", ({ detail: { solve: plan } }) => {
    if (plan === undefined) return;
    wanted = plan;
    if (atWork) ending ??= setTimeout(end, READY_MS);
    else next();
  });

  /* Another Python numbers its plans anew. */
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
    const heard = (told) => made === worker && done(told);
    made.onmessage = ({ data: { answer, trouble } }) => heard(answer ?? { trouble });
    made.onerror = ({ message }) => heard({ trouble: message });
    made.postMessage({ module });
    return made;
  }

  /* After a trouble the worker may be broken. */
  function done(told) {
    const plan = atWork;
    leave("trouble" in told);
    if (plan === wanted) tell(plan, told);
    else next();
  }

  function end() {
    leave(true);
    next();
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
