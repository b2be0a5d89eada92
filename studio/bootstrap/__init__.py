"""What runs before the environment exists: the standard library only."""
