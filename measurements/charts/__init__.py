"""Drawn series: axes, paths, legend, for screen and paper."""
