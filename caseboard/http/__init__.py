"""Middleware and pages round the views: size checks, limits, held forms, pages for errors."""
