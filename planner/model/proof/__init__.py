"""How cheap a plan could be at most: relaxations of the planner's rules, solved as mixed integer programs."""
