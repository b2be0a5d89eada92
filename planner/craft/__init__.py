"""The workshop's physics and arithmetic: pure functions on numbers, standard library alone, one module a subject."""
