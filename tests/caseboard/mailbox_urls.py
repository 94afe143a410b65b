"""The site with the demo's mailbox, which is only routed where mail goes to files."""

from django.urls import path

from caseboard.urls import (  # noqa: F401
    handler400,
    handler403,
    handler404,
    handler500,
)
from caseboard.urls import urlpatterns as site
from caseboard.views import mailbox

urlpatterns = [
    *site,
    path("mailbox/", mailbox.mailbox, name="mailbox"),
    path("mailbox/<slug:mail_id>/", mailbox.mail, name="mail"),
]
