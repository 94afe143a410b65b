"""The programs of an installation: server, worker, what they need first, whether they are well."""
