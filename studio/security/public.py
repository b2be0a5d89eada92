"""The one list of pages that work without a login. Everything not named here needs one; a test walks all URLs."""

PUBLIC_VIEWS = frozenset(
    {
        "login",
        "join",  # an invitation's link; without its secret it shows nothing
        "health",  # says only that the server answers
        "worker",  # the same script for everybody
        "manifest",  # the app's name and icons
        "offline",  # an empty page in words
    }
)
