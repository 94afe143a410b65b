"""How often the board has each entry, and whether it lies where it was written. Prints JSON."""

import json
import os
import sys
from pathlib import Path
from typing import Any

import django


def main(path: str) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    entries = json.loads(Path(path).read_text())
    print(json.dumps({one["word"]: _found(one) for one in entries}))


def _found(entry: dict[str, Any]) -> dict[str, Any]:
    """`times`: rows; `right`: all of them by that person, about that horse, with what belongs to them."""
    rows = list(_rows(entry))
    return {"times": len(rows), "right": all(_is_right(row, entry) for row in rows)}


def _rows(entry: dict[str, Any]) -> Any:
    from horses.models import Agreement, Case, Flag, Look, Note, Visit
    from measurements.models import Reading

    word = entry["word"]
    match entry["kind"]:
        case "note":
            return Note.objects.filter(body__contains=word)
        case "flag" | "urgent":
            return Flag.objects.filter(words__contains=word)
        case "look":
            return Look.objects.standing().filter(case__public_id=entry["case"])
        case "agree":
            mine = Agreement.objects.filter(person__name__startswith=_first(entry))
            return mine.filter(version__item__public_id=entry["item"])
        case "decline":
            return Agreement.objects.filter(reason__contains=word)
        case "visit" | "word":
            return Visit.objects.filter(words__contains=word)
        case "reading":
            horse = Case.objects.get(public_id=entry["case"]).horse
            return Reading.objects.filter(horse=horse, foot=entry["item"], visit=None)
        case other:
            raise ValueError(other)


def _is_right(row: Any, entry: dict[str, Any]) -> bool:
    from horses.models import Case

    case = Case.objects.get(public_id=entry["case"])
    match entry["kind"]:
        case "note":
            return bool(row.case == case and row.author.name.startswith(_first(entry)))
        case "flag" | "urgent":
            pictures = row.pictures.count() == int(entry["picture"])
            return bool(
                row.case == case and row.raised_by.name.startswith(_first(entry)) and pictures
            )
        case "look":
            return bool(row.looked_by.name.startswith(_first(entry)))
        case "agree" | "decline":
            same = row.content_hash == row.version.content_hash
            return bool(same and row.version.item.public_id == entry["item"])
        case "visit":
            values = [f"{one.value:.1f}" for one in row.readings.all()]
            return bool(row.horse == case.horse and values == [entry["value"]])
        case "word":
            return bool(row.horse == case.horse)
        case _:
            return f"{row.value:.1f}" == str(entry["value"])


def _first(entry: dict[str, Any]) -> str:
    return {"owner": "Ola", "farrier": "Finn"}[entry["who"]]


if __name__ == "__main__":
    main(sys.argv[1])
