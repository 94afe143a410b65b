"""Slips in who is told, and in the mail."""

from tests.mutants.row import Mutant, rows

NOTICES_T = "tests/horses/notices/test_notices.py"
CHOICES = "tests/horses/notices/test_preferences.py"

NOTICES = (
    *rows(
        "horses/notices/create.py",
        NOTICES_T,
        Mutant("who did it is told of it", "        and m.person != actor\n", ""),
        Mutant(
            "who left is told",
            "filter(case=case, left_at__isnull=True).select_related",
            "filter(case=case).select_related",
        ),
        Mutant(
            "roles outside the audience are told", 'if f",{m.role}," in audience\n        and', "if"
        ),
        Mutant(
            "a stand-in is told at once of a lost shoe",
            "and (stand_ins or not m.stand_in)",
            "",
            tests=("tests/horses/services/test_shoes.py",),
        ),
        Mutant(
            "an urgent mail waits for the end of the quiet hours",
            "(None if notice.urgent else quiet_until(notice.person, now)) or now",
            "quiet_until(notice.person, now) or now",
            tests=(CHOICES,),
        ),
        Mutant(
            "who came back in another role reads what they were told before",
            'audience__contains=Concat(Value(","), F("case__memberships__role"), Value(",")),',
            "",
            tests=("tests/horses/views/test_notices_pages.py", NOTICES_T),
        ),
    ),
    *rows(
        "horses/notices/send.py",
        NOTICES_T,
        Mutant("a mail goes to who left meanwhile", "if not may_still_see(notice):", "if False:"),
        Mutant(
            "a mail about a horse that was sold goes out",
            "if notice.verb in FROM_NUMBERS and notice.case.horse.state != Horse.State.ACTIVE:",
            "if False:",
        ),
        Mutant(
            "a mail is sent twice",
            "if notice.state != STATE.PENDING:\n        return",
            "if False:\n        return",
        ),
        Mutant(
            "a mail is given up at its first failure", "or now - since > GIVE_UP_AFTER:", "or True:"
        ),
        Mutant(
            "an address that takes no mail is tried for days",
            "if trouble in (Trouble.ADDRESS, Trouble.MESSAGE) or",
            "if",
            tests=("tests/horses/notices/test_smtp_errors.py",),
        ),
        Mutant(
            "a mail that arrives leaves the trouble standing",
            '_mark_trouble(person, None, "")',
            "pass",
            tests=("tests/horses/notices/test_smtp_errors.py",),
        ),
        Mutant(
            "a daily mail comes in the quiet hours",
            "        if until := quiet_until(person, now):\n            raise",
            "        if False:\n            raise",
            tests=(CHOICES,),
        ),
    ),
    *rows(
        "horses/notices/preferences.py",
        CHOICES,
        Mutant(
            "a muted case mails what is urgent not",
            "if urgent:\n        return MailWay.AT_ONCE",
            "if urgent and not muted:\n        return MailWay.AT_ONCE",
        ),
        Mutant("a muted case mails", "if muted or person.mail_when", "if person.mail_when"),
        Mutant(
            "quiet hours over midnight are none",
            "over_midnight = start > end",
            "over_midnight = False",
        ),
    ),
    *rows(
        "horses/notices/messages.py",
        CHOICES,
        Mutant(
            "an urgent mail can be unsubscribed by the mail program",
            "if not urgent:  # RFC 8058",
            "if True:  # RFC 8058",
            tests=(CHOICES, NOTICES_T),
        ),
        Mutant(
            "anybody's address unsubscribes",
            "return _signer.unsign(token)",
            'return token.split(":")[0]',
            tests=(CHOICES, "tests/horses/views/test_notices_pages.py"),
        ),
    ),
    *rows(
        "horses/notices/alert_over.py",
        "tests/horses/notices/test_alert_over.py",
        Mutant(
            "a notice of what still stands is read by itself",
            "if (since := open_since.get(alert.matter)) is not None:",
            "if False:",
        ),
        Mutant(
            "people's answers are read by themselves",
            ", verb__in=SAYS_ONLY_THAT, read_at=None",
            ", read_at=None",
        ),
    ),
)
