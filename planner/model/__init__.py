"""The exact models in CP-SAT. Nothing outside this package imports the solver, and only a child process loads it."""
