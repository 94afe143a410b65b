"""The mails of notices: one event by itself, or the events of a day together."""

from email.utils import make_msgid

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.signing import BadSignature, Signer
from django.urls import reverse
from django.utils import timezone

from caseboard.lib.spans import counted
from horses.models import Digest, Notice, Person

NO_PHONE_CALL = (
    "This mail does not replace a phone call. If a horse needs help now, phone your vet."
)


def notice_message(notice: Notice) -> EmailMessage:
    lines = [notice.subject, "", *([notice.body, ""] if notice.body else [])]
    lines += [f"{settings.SITE_URL}{notice.path}", "", NO_PHONE_CALL]
    lines += [f"You get it because you are on the team of {notice.case.horse.name}.", _change()]
    one_line = " ".join(notice.subject.split())
    return EmailMessage(
        subject=("Urgent: " if notice.urgent else "") + one_line,
        body="\n".join(lines),
        to=[notice.person.email],
        headers=_headers(notice.person, f"notice.{notice.public_id}", urgent=notice.urgent),
    )


def digest_message(person: Person, digest: Digest, notices: list[Notice]) -> EmailMessage:
    """A day's things, horse by horse, each with where it leads."""
    horses: dict[str, list[Notice]] = {}
    for notice in notices:
        horses.setdefault(" ".join(notice.case.horse.name.split()), []).append(notice)
    lines = []
    for name, told in horses.items():
        lines += [name, "-" * len(name)]
        for notice in told:
            at = timezone.localtime(notice.created_at)
            lines += [f"{at:%-d %b %Y, %H:%M}: {' '.join(notice.subject.split())}"]
            lines += [notice.body] if notice.body else []
            lines += [f"{settings.SITE_URL}{notice.path}", ""]
    count = counted(len(notices), "thing")
    lines += [NO_PHONE_CALL, "What is urgent is mailed at once.", _change()]
    lines += [f"No more of these: {unsubscribe_address(person)}"]
    return EmailMessage(
        subject=f"{count} about {', '.join(horses)}"[:180],
        body="\n".join(lines),
        to=[person.email],
        headers=_headers(person, f"digest.{digest.public_id}", urgent=False),
    )


def _change() -> str:
    return f"Change what you are mailed: {settings.SITE_URL}{reverse('notice_choices')}"


def _headers(person: Person, name: str, *, urgent: bool) -> dict[str, str]:
    domain = settings.SITE_URL.split("//")[-1].split(":")[0]
    headers = {"Message-ID": _msgid(name, domain), "Auto-Submitted": "auto-generated"}  # RFC 3834
    if not urgent:  # RFC 8058: the mail program's own button, one POST without signing in
        headers["List-Unsubscribe"] = f"<{unsubscribe_address(person)}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def message_id(name: str) -> str:
    """The same for the same name, so that a mail sent twice can be recognised as one."""
    return _msgid(name, settings.SITE_URL.split("//")[-1].split(":")[0])


def make_msgid_for(public_id: str, domain: str) -> str:
    return _msgid(f"notice.{public_id}", domain)


def _msgid(name: str, domain: str) -> str:
    random_part = make_msgid(domain=domain)  # for its checked domain form only
    return f"<{name}@{random_part.rsplit('@', 1)[1]}"


# -- The way out ------------------------------------------------------------------------------
_signer = Signer(salt="horses.unsubscribe")


def unsubscribe_address(person: Person) -> str:
    token = _signer.sign(person.public_id)
    return f"{settings.SITE_URL}{reverse('unsubscribe')}?of={token}"


def unsubscribe_whose(token: str) -> str | None:
    """The public id of the person the address was made for; None for one that we did not make."""
    try:
        return _signer.unsign(token)
    except BadSignature:
        return None
