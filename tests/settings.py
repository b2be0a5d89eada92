"""The standard settings with what tests need otherwise: quick hashing, plain static files, a database in a file."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from pathlib import Path

# The processes that a test process starts may be killed, so their files lie in the folder that the first one removes.
_outer = os.environ.get("STUDIO_TESTS_FOLDER")
_folder = Path(tempfile.mkdtemp(prefix="studio-tests-", dir=_outer))
if not _outer:
    os.environ["STUDIO_TESTS_FOLDER"] = str(_folder)
    atexit.register(shutil.rmtree, _folder, ignore_errors=True)
# Set before the settings are read, so that no test ever meets a person's own data.
os.environ["STUDIO_DATA"] = str(_folder)
os.environ.pop("STUDIO_HOSTS", None)

from studio.settings import *  # noqa: E402, F403
from studio.settings import DATABASES, STORAGES  # noqa: E402

ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# The live server finds static files by their plain names only.
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
WHITENOISE_AUTOREFRESH = True

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # In a file, as in real life, so that threads and worker processes see each other through the WAL.
    # No sync: nothing here has to outlive a power cut.
    _options = DATABASES["default"]["OPTIONS"]
    _options["init_command"] = _options["init_command"].replace("synchronous=FULL", "synchronous=OFF")
    DATABASES["default"]["TEST"] = {"NAME": str(_folder / "test.sqlite3")}
DATABASES["default"]["CONN_MAX_AGE"] = 0
