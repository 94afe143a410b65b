"""What is thrown away once its time is over: sessions, sign-in mails, counters. None of it is of a
case."""

from datetime import datetime

from caseboard.lib.limits import counters_sweep
from horses.accounts.services.code_mails import code_mails_sweep
from horses.accounts.services.people import unproven_forget
from horses.models import SignIn


def tidy(*, now: datetime) -> None:
    over = SignIn.objects.filter(expire_date__lt=now)
    if over.exists():  # asked first: on SQLite a delete waits for whoever writes
        over.delete()
    code_mails_sweep(now=now)
    unproven_forget(now=now)
    counters_sweep(now=now)
