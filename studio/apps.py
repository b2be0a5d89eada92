"""The app."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "studio"
    label = "studio"
