/* Finds the cheapest plan with HiGHS, in its own worker. The package's highs.js, which declares `Module`, precedes this.

   plan.js sends {module, options}, its WebAssembly and settings, first, then {id, model}, and is sent {id, answer} or {id, trouble};
   core/pennyflat/buying/highs.py has the options and describes model and answer. */

const FEASIBLE = 2; // HiGHS's primal_solution_status

let loading, settings;

self.onmessage = async ({ data: { module, options, id, model } }) => {
  if (module) return void ([loading, settings] = [load(module), options]);
  try {
    self.postMessage({ id, answer: solve(await loading, model) });
  } catch (error) {
    self.postMessage({ id, trouble: String(error?.message ?? error) });
  }
};

function load(module) {
  return new Promise((done, failed) => {
    const instantiateWasm = (imports, take) => void WebAssembly.instantiate(module, imports).then(take, failed);
    Module({ instantiateWasm }).then(done, failed);
  });
}

function solve(highs, { cost, lower, upper, integer, row_lower, row_upper, starts, index, value, start, seconds }) {
  const orInfinite = (bounds, sign) => bounds.map((bound) => bound ?? sign * highs.infinity);
  const mixed = integer.includes(1);
  const problem = {
    numCols: cost.length,
    numRows: row_lower.length,
    colCost: cost,
    colLower: lower,
    colUpper: orInfinite(upper, 1),
    rowLower: orInfinite(row_lower, -1),
    rowUpper: orInfinite(row_upper, 1),
    matrix: { format: "csr", numRows: row_lower.length, numCols: cost.length, starts, indices: index, values: value },
    ...(mixed && { integrality: integer }),
  };
  return highs.withModel(problem, (plan) => {
    plan.options.set({ ...settings, time_limit: seconds });
    if (start) plan.setSolution({ colValue: start });
    plan.run();
    const { modelStatus } = highs.constants, status = plan.getModelStatus();
    const found = plan.info.get("primal_solution_status") === FEASIBLE;
    const proven = status === modelStatus.optimal;
    const objective = found ? plan.getObjectiveValue() : null;
    const bound = mixed ? plan.info.get("mip_dual_bound") : proven ? objective : null;
    return {
      values: found ? [...plan.getSolution().colValue] : null,
      objective,
      bound: Number.isFinite(bound) ? bound : null,
      proven,
      status: Object.keys(modelStatus).find((name) => modelStatus[name] === status),
    };
  });
}
