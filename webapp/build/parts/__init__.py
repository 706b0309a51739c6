"""The parts of the site: Python, charts, solver, scripts, the single file."""
