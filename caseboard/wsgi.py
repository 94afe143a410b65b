"""The door for web servers: `gunicorn caseboard.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application

from caseboard.env_file import env_file_found

env_file_found()
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
application = get_wsgi_application()
