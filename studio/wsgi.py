"""The entry for a WSGI server."""

import os
from pathlib import Path

from django.core.wsgi import get_wsgi_application

from studio.datafolder import prepare

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
prepare(Path(os.environ.get("STUDIO_DATA") or Path(__file__).resolve().parents[1] / "data"))
application = get_wsgi_application()
