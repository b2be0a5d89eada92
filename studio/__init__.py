"""The studio: the Django project and its one app."""
