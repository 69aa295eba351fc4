"""The WSGI callable that a server such as gunicorn runs: quoting.config.wsgi:application."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "quoting.config.settings")

application = get_wsgi_application()
