"""Pages go out compressed: eleven to sixteen times smaller on a barn's bad line.

Decided 2026-11-29: pages stay compressed though they hold secrets, because a barn's line is the worse
evil and guessing from the packed size (BREACH) needs three things together. A page would have to hold
a secret that stays the same (the form's token is masked anew each time, the session is in no page),
beside words that another site can put into it (search words and filters come by GET, and the session's
cookie does not come along with another site's requests but for a link that somebody follows), and
the size would have to be seen exactly (up to 100 random bytes are added). The roads not taken: no
compression for who is signed in, who are those in the barn; Brotli, another package. Style sheets and
scripts are packed once, when they are collected.
"""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

# Photos and PDFs are packed already: doing it again costs time and saves nothing.
PACKED_BY_THIS = ("text/", "application/json", "application/manifest+json", "image/svg+xml")


class CompressMiddleware(GZipMiddleware):
    """Django's, for text only.

    Against guessing a secret from the packed size (BREACH) its answers carry a random length, and
    the form token is masked anew in each page.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        if not response.get("Content-Type", "").startswith(PACKED_BY_THIS):
            return response
        packed: HttpResponseBase = super().process_response(request, response)
        return packed
