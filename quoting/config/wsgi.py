"""The WSGI callable that a server such as gunicorn runs: quoting.config.wsgi:application."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "quoting.config.settings")

application = get_wsgi_application()

# After the app registry is there, which the checks need; a server doesn't run Django's checks by itself.
from quoting.checks import refuse_to_start  # noqa: E402

refuse_to_start()
