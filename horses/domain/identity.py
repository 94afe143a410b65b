"""A horse's identity numbers as people type them: microchip and UELN. Pure: no clock, no database.

Microchip: ISO 11784:2024. 15 digits, a 3-digit country or maker code and a 12-digit number that
must fit into 38 bits. Typed numbers carry no check digit, so a slip cannot be found by arithmetic.
Older chips that do not follow the standard have 9 or 10 letters and digits.

UELN (Universal Equine Life Number): 15 characters, a 3-digit country code (ISO 3166-1 numeric), 3
letters or digits for the studbook or register, 9 for the animal, filled up with zeros on the left.
The two countries may differ: a chip may be bought in another country than the horse is registered.
"""

import re
from dataclasses import dataclass

# The 38 bits of the national identification code, ISO 11784:2024.
LARGEST_CHIP_NUMBER = 2**38 - 1  # 274877906943
TEST_CODE = "999"  # reserved for test chips, ISO 11784:2024
QUOTED_LENGTH = 24

# What people put between groups of digits, on paper and in their phones.
_GAPS = re.compile(r"[\s.\-–/]+")
_ISO_CHIP = re.compile(r"[0-9]{15}")
_OLD_CHIP = re.compile(r"(?=.*[0-9])[0-9A-Z]{9,10}")
_UELN = re.compile(r"[0-9]{3}[0-9A-Z]{3}[0-9A-Z]{9}")
_UELN_PARTS = re.compile(r"([0-9]{3}[0-9A-Z]{3})\+([0-9A-Z]{1,9})")


class IdentityUnreadable(ValueError):
    """This cannot be such a number; the message says what one looks like."""


@dataclass(frozen=True)
class Chip:
    """A microchip number without gaps, and what to look at again (empty: nothing)."""

    number: str
    doubt: str = ""


def microchip_read(text: str) -> Chip:
    """The microchip number in `text`, gaps removed.

    Raises IdentityUnreadable for anything but 15 digits or an older chip's 9 or 10 characters.
    """
    number = _GAPS.sub("", text).upper()
    if _ISO_CHIP.fullmatch(number):
        return _iso_chip(number)
    if _OLD_CHIP.fullmatch(number):
        return Chip(number, "This is an older chip, which not every reader shows.")
    raise IdentityUnreadable(_not_a_chip(number))


def _iso_chip(number: str) -> Chip:
    code, rest = number[:3], int(number[3:])
    if code == "000":
        raise IdentityUnreadable(
            "A microchip number begins with a country or maker code; 000 is none. "
            "Please read it again."
        )
    if rest > LARGEST_CHIP_NUMBER:
        return Chip(
            number,
            f"The last 12 digits of a chip are never above {LARGEST_CHIP_NUMBER}. "
            "Please read the number again.",
        )
    if code == TEST_CODE:
        return Chip(number, "Numbers that begin with 999 belong to test chips. Is it right?")
    return Chip(number)


def _not_a_chip(number: str) -> str:
    if number.isascii() and number.isdigit():
        return (
            f"A microchip number has 15 digits; this one has {len(number)}. "
            "(Older chips have 9 or 10 characters.)"
        )
    return (
        f"“{_quoted(number)}” is no microchip number: those have 15 digits. "
        "(Older chips have 9 or 10 letters and digits.)"
    )


def ueln_read(text: str) -> str:
    """The 15 characters of the UELN in `text`.

    A gap or a plus after the first six shows where the animal's own number begins, so that one
    can be filled up with zeros: "372414 + 1234567" is 372414001234567. A studbook's own number,
    with a stroke or letters ("276 78M/234"), may mean anything: it is asked about. Raises
    IdentityUnreadable.
    """
    typed = text.upper().strip()
    joined = _GAPS.sub("", typed).replace("+", "")
    if _UELN.fullmatch(joined):
        return joined
    parts = _UELN_PARTS.fullmatch(_with_plus(typed))
    if parts:
        filled = parts[1] + parts[2].zfill(9)
        if "/" in typed or not parts[2].isdigit():
            raise IdentityUnreadable(
                f"“{_quoted(typed)}” has {len(joined)} characters, a UELN has 15. Is it {filled}? "
                "Then write all 15, as the passport has them."
            )
        return filled
    raise IdentityUnreadable(_not_a_ueln(joined))


def ueln_filled_up(text: str) -> bool:
    """Whether zeros were filled in, so that another number is kept than was typed. Raises as
    `ueln_read`."""
    typed = _GAPS.sub("", text.upper().strip()).replace("+", "")
    return ueln_read(text) != typed


def _with_plus(typed: str) -> str:
    """One plus for whatever stands after the sixth character; other gaps are taken out."""
    pieces = [piece for piece in re.split(r"[\s.\-–/+]+", typed) if piece]
    for count in range(1, len(pieces)):
        register, animal = "".join(pieces[:count]), "".join(pieces[count:])
        if len(register) == 6:
            return f"{register}+{animal}"
    return "".join(pieces)


def _not_a_ueln(joined: str) -> str:
    if re.fullmatch(r"[0-9A-Z]+", joined) and len(joined) != 15:
        return (
            f"A UELN has 15 characters; this one has {len(joined)}. If the animal's own number "
            "is short, put a space after the first six characters and we fill it up with zeros."
        )
    return (
        f"“{_quoted(joined)}” is no UELN: those are 3 digits for the country, 3 letters or digits "
        "for the register and 9 for the horse."
    )


def _quoted(text: str) -> str:
    return text if len(text) <= QUOTED_LENGTH else text[:QUOTED_LENGTH] + "…"
