"""The settings, read from the data folder and a few STUDIO_… variables (listed in DEVELOPERS.md)."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from studio import datafolder, network
from studio.database import database

PROJECT = Path(__file__).resolve().parents[1]
DATA = Path(os.environ.get("STUDIO_DATA") or PROJECT / "data")
HTTPS = os.environ.get("STUDIO_HTTPS") == "1"  # set it where phones reach the tool over HTTPS only
BEHIND_PROXY = os.environ.get("STUDIO_BEHIND_PROXY") == "1"  # one proxy in front that sets X-Forwarded-For and -Proto

DEBUG = os.environ.get("STUDIO_DEBUG") == "1"
SECRET_KEY = os.environ.get("STUDIO_SECRET_KEY") or datafolder.secret_key(DATA)
ALLOWED_HOSTS = [h for h in os.environ.get("STUDIO_HOSTS", "").split(",") if h] or network.own_hosts()

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "csp",
    "django_htmx",
    "studio.apps.StudioConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    # Django adds random bytes to each answer and masks the CSRF token, which is what compression needs to be safe.
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "studio.security.middleware.Headers",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.security.middleware.LoginRequired",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "studio.security.middleware.PlainErrors",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

DATABASES = {"default": database(os.environ.get("DATABASE_URL", ""), DATA / datafolder.DATABASE)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "/static/"
STATIC_ROOT = DATA / datafolder.STATIC
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "font-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}

LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"
PASSWORD_HASHERS = ["studio.security.hashers.BoundedArgon2"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

SESSION_COOKIE_NAME = "studio_session"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30  # a phone in a studio is logged in once a month
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_NAME = "studio_csrf"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "studio.views.errors.csrf_failure"
CSRF_TRUSTED_ORIGINS = [o for o in os.environ.get("STUDIO_ORIGINS", "").split(",") if o]
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SECURE_HSTS_SECONDS = 60 * 60 * 24 * 30 if HTTPS else 0
X_FRAME_OPTIONS = "DENY"
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# A week's record sent by one phone after a day without a network stays far below these.
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English")]
LOCALE_PATHS = [PROJECT / "studio" / "locale"]
TIME_ZONE = "UTC"  # each studio's own zone is applied where its times are shown
USE_TZ = True

CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"()": "studio.security.logs.Impersonal", "format": "%(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        # Refusals are the visitor's matter, and an address may hold an invitation's secret.
        "django.request": {"level": "ERROR"},
        "django.security": {"level": "CRITICAL"},
        "studio": {"handlers": ["console"], "level": "INFO", "propagate": False},
        # Its "task queue depth" lines are normal when several files are asked for at once.
        "waitress.queue": {"level": "ERROR"},
    },
}
