"""Starting, watching and stopping the processes that serve a studio."""
