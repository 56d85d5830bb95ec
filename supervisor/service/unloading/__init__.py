"""A firing looked back on when its kiln is unloaded: causes, changes, a plan for the next."""
