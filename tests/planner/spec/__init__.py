"""One file for each rule of a plan: the smallest plan on the edge, then one minute, piece or board beyond it."""
