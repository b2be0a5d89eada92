"""The planner: a scenario in, a plan out. Pure Python; it knows no web framework, no clock and no database."""
