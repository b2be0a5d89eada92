"""The one exception that ends a start with a sentence instead of a traceback."""


class StartError(Exception):
    """Its text is one clear sentence for the person who typed the command."""
