"""Where settings come from: the environment, and the file that `manage.py setup` writes."""

import os

import environ

env = environ.Env()
# Named by the doors (manage.py, wsgi.py, celery.py) and not read by itself: neither the tests nor the
# demo may pick up a real installation's settings. What the environment says already goes first.
if ENV_FILE := os.environ.get("CASEBOARD_ENV_FILE", ""):
    environ.Env.read_env(ENV_FILE)
