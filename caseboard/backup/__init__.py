"""A backup of everything people wrote and photographed, and its way back.

One folder: a file of rows a table, the photos, and a manifest with counts and fingerprints. The
rows are written the same by both databases, so that a backup of one can go back into the other.
"""
