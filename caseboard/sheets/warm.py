"""Makes the process that draws papers ready before anybody waits for one."""

import threading

from django.template import engines

from caseboard.lib.logging.fields import logger
from caseboard.lib.pdf.parent import PdfFailed, PdfUnavailable, html_to_pdf

log = logger("caseboard.sheets")
# All styles and fonts of all papers: reading them is what takes long.
PAGE = """{% load static %}<html lang="en"><head><title>-</title>
<link rel="stylesheet" href="{% static 'css/sheet-fonts.css' %}">
<link rel="stylesheet" href="{% static 'css/sheet.css' %}">
<link rel="stylesheet" href="{% static 'css/barn.css' %}"></head>
<body><p>a <b>b</b></p></body></html>"""
WARM_LIMIT_S = 100  # nobody waits for it. House default.


def sheets_warm() -> None:
    """Draws one line. What goes wrong is logged here and said by the first sheet."""
    try:
        html = engines["django"].from_string(PAGE).render()
        html_to_pdf(html, paper="a4", time_limit_s=WARM_LIMIT_S)
    except (PdfFailed, PdfUnavailable, OSError) as error:
        log.warning("sheet.not_warmed", error=type(error).__name__)


def sheets_warm_soon() -> threading.Thread:
    """Beside the start of a server, which answers meanwhile."""
    thread = threading.Thread(target=sheets_warm, name="sheets-warm", daemon=True)
    thread.start()
    return thread
