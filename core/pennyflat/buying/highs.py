"""Solve mixed-integer linear programs with HiGHS, through the package highspy.

The page has no highspy: it gives the same models to HiGHS compiled to WebAssembly and gets the
same answers. Code that writes a model or reads an answer does not depend on the solver. [Huangfu &
Hall, Parallelizing the dual revised simplex method, Math. Prog. Comp. 10 (2018) 119-142]
"""

import math

from pennyflat.buying.milp import Answer, Program

OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "random_seed": 0,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 1e-7,
    "mip_feasibility_tolerance": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "dual_feasibility_tolerance": 1e-9,
}


def solve(model: Program) -> Answer:
    """
    The values that cost least.

    A ValueError if HiGHS rejects the model, or already runs more than one thread in this process.

    Two bags of 10 L at 9.20, or one of 25 L at 16.10, for 18 L:

    >>> model = {
    ...     "cost": [9.2, 16.1], "lower": [0, 0], "upper": [None, None], "integer": [1, 1],
    ...     "row_lower": [18], "row_upper": [None],
    ...     "starts": [0, 2], "index": [0, 1], "value": [10, 25],
    ...     "start": [2, 0], "seconds": 5,
    ... }
    >>> answer = solve(model)
    >>> answer["values"], answer["objective"], answer["proven"]
    ([0.0, 1.0], 16.1, True)
    """
    import highspy

    solver = highspy.Highs()
    for name, setting in OPTIONS.items():
        solver.setOptionValue(name, setting)
    solver.setOptionValue("time_limit", float(model["seconds"]))
    if solver.passModel(_programme(highspy, model)) == highspy.HighsStatus.kError:
        raise ValueError("HiGHS rejects this model.")
    if model["start"]:
        start = highspy.HighsSolution()
        start.col_value = model["start"]
        solver.setSolution(start)
    if solver.run() == highspy.HighsStatus.kError:
        raise ValueError("HiGHS could not start: this process already uses it with more threads.")
    info, status = solver.getInfo(), solver.getModelStatus()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    proven = status == highspy.HighsModelStatus.kOptimal
    objective = info.objective_function_value if found else None
    bound = info.mip_dual_bound if any(model["integer"]) else objective if proven else None
    name = status.name[1:]  # without HiGHS's prefix k
    return {
        "values": list(solver.getSolution().col_value) if found else None,
        "objective": objective,
        "bound": bound if bound is not None and math.isfinite(bound) else None,
        "proven": proven,
        "status": name[0].lower() + name[1:],
    }


def _programme(highspy, model):
    """The model as a HiGHS object."""
    programme = highspy.HighsLp()
    programme.num_col_, programme.num_row_ = len(model["cost"]), len(model["row_lower"])
    programme.col_cost_ = model["cost"]
    programme.col_lower_ = model["lower"]
    programme.col_upper_ = _bounds(model["upper"], math.inf)
    programme.row_lower_ = _bounds(model["row_lower"], -math.inf)
    programme.row_upper_ = _bounds(model["row_upper"], math.inf)
    matrix = programme.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.num_col_, matrix.num_row_ = programme.num_col_, programme.num_row_
    matrix.start_, matrix.index_, matrix.value_ = model["starts"], model["index"], model["value"]
    kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
    programme.integrality_ = [kinds[whole] for whole in model["integer"]]
    return programme


def _bounds(given, none):
    """Bounds, infinite where none is given."""
    return [none if bound is None else bound for bound in given]
