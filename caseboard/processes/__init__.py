"""The programs of an installation: server, worker, preparation before a start, readiness."""
