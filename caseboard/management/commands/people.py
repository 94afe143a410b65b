"""`manage.py people`: the accounts of this installation, for who runs it."""

import shutil
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import Max

from caseboard.export.person_copy import person_copy
from caseboard.export.zip import copy_zip
from caseboard.lib import clock
from horses.accounts.services import people_admin
from horses.accounts.services.people_admin import AccountCommandError
from horses.models import Person

STAYS = (
    "What stays, because others rely on it: the name beside agreements, notes, visits and "
    "measurements, and in the histories, whose chain covers them; where no name was given, and in "
    "the lines of an invitation, that is the address. Backups made before still hold everything: "
    "let them run out."
)


class Command(BaseCommand):
    help = "Lists, adds, locks, exports and erases the people of this installation."

    def add_arguments(self, parser: ArgumentParser) -> None:
        deeds = parser.add_subparsers(dest="deed", required=True)
        deeds.add_parser("list", help="everybody, with their boards and when they were last here")
        add = deeds.add_parser("add", help="an account that signs in by a code sent to its address")
        add.add_argument("address")
        add.add_argument("--name", required=True, help="as the others on a team read it")
        for deed, words in (
            ("lock", "nobody signs in to it any more; its sign-ins end now"),
            ("unlock", "it can be signed in to again"),
            ("end-sign-ins", "signs it out everywhere"),
            ("known", "you know who it is: no team shows them as new, and they confirm others"),
            ("not-known", "takes that back"),
        ):
            deeds.add_parser(deed, help=words).add_argument("address")
        export = deeds.add_parser("export", help="everything kept of one person, as a zip file")
        export.add_argument("address")
        export.add_argument("--out", type=Path, required=True)
        erase = deeds.add_parser("erase", help="takes address, phone, photos and ways in away")
        erase.add_argument("address")
        erase.add_argument("--yes", action="store_true", help="do not ask once more")
        erase.add_argument("--though-last-owner", action="store_true")

    def handle(self, *args: Any, **options: Any) -> None:
        deed = getattr(self, "_" + options["deed"].replace("-", "_"))
        try:
            deed(options)
        except AccountCommandError as refused:
            raise CommandError(str(refused)) from refused

    def _list(self, _options: dict[str, Any]) -> None:
        people = Person.objects.annotate(seen=Max("sign_ins__last_seen_at")).order_by("email")
        for person in people.prefetch_related("memberships"):
            boards = sum(member.left_at is None for member in person.memberships.all())
            seen = f"seen {person.seen:%Y-%m-%d}" if person.seen else "not signed in"
            locked = "" if person.is_active else ", locked"
            known = ", known" if person.known_at else ""
            self.stdout.write(
                f"{person.email}  {person.name or '(no name)'}  boards: {boards}, {seen}{locked}{known}"
            )

    def _add(self, options: dict[str, Any]) -> None:
        person = people_admin.person_make(email=options["address"], name=options["name"])
        self.stdout.write(f"{person} can sign in with a code sent to {person.email}.")

    def _lock(self, options: dict[str, Any]) -> None:
        ended = people_admin.person_lock(person=people_admin.person_find(options["address"]))
        self.stdout.write(f"Locked. Sign-ins ended: {ended}. Unlock with `people unlock`.")

    def _unlock(self, options: dict[str, Any]) -> None:
        people_admin.person_unlock(person=people_admin.person_find(options["address"]))
        self.stdout.write("Unlocked.")

    def _end_sign_ins(self, options: dict[str, Any]) -> None:
        ended = people_admin.sign_ins_end(person=people_admin.person_find(options["address"]))
        self.stdout.write(f"Sign-ins ended: {ended}.")

    def _known(self, options: dict[str, Any]) -> None:
        person = people_admin.person_find(options["address"])
        people_admin.person_know(person=person, now=clock.now())
        self.stdout.write(f"{person} is known. No team shows them as new.")

    def _not_known(self, options: dict[str, Any]) -> None:
        person = people_admin.person_find(options["address"])
        people_admin.person_know_not(person=person)
        self.stdout.write(f"{person} is as new again as their teams have left them.")

    def _export(self, options: dict[str, Any]) -> None:
        person = people_admin.person_find(options["address"])
        copy = person_copy(person, now=clock.now())
        with copy_zip(copy, json_name="person.json") as packed, options["out"].open("xb") as out:
            options["out"].chmod(0o600)
            shutil.copyfileobj(packed, out)
        self.stdout.write(f"Written to {options['out']}. Hand it to {person} and to nobody else.")

    def _erase(self, options: dict[str, Any]) -> None:
        person = people_admin.person_find(options["address"])
        if not options["yes"]:
            self.stdout.write(f"This erases {person} ({person.email}). {STAYS}")
            if input("Type the address once more to go on: ").strip() != person.email:
                raise CommandError("Nothing was erased.")
        gone = people_admin.person_erase(
            person=person, now=clock.now(), though_last_owner=options["though_last_owner"]
        )
        self.stdout.write(
            f"Erased: address, phone, ways in, photos ({gone.photos}), boards left "
            f"({gone.boards_left}). {STAYS}"
        )
        for horse in gone.without_owner:
            self.stdout.write(f"{horse} has no owner on the board now.")
