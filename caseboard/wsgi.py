"""The door for web servers: `gunicorn caseboard.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
application = get_wsgi_application()
