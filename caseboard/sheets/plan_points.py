"""What is wrong with the horse, as the plan sheet says it: its troubles, never who has not answered.

A sheet hangs on the stable door and is read by whoever comes: it speaks of the horse. What waits for
a person stands on the board.
"""

from collections.abc import Iterable

from django.utils import timezone

from caseboard.lib.words import foot_label, own_words
from horses.models import Alert, Flag, Person
from measurements.hoof.shape_finding import REMARK_ONLY

# The rules whose findings are about the horse; those of visits, plans and silence are about people.
TROUBLES = (
    "shape.",
    "foot.",
    "band.",
    "reading.jump",
    "lameness.",
    "shoes.incomplete",
    "shoes.lost",
    "wear.",
)
# Wide nets that many ordinary feet meet: on the board, not on the door. House default.
LEFT_OUT = frozenset(f"shape.{rule}" for rule in REMARK_ONLY)


def points_of(
    flags: Iterable[Flag], alerts: Iterable[Alert], person: Person
) -> tuple[list[str], list[str]]:
    """What is urgent, and the rest: flags before alerts before remarks; sides as this person says."""
    flags, alerts = list(flags), [alert for alert in alerts if is_trouble(alert)]
    urgent = [flag_words(flag, person) for flag in flags if flag.urgency == Flag.Urgency.NOW]
    urgent += [own_words(alert.now_sentence, person) for alert in alerts if is_urgent(alert)]
    rest = [flag_words(flag, person) for flag in flags if flag.urgency != Flag.Urgency.NOW]
    rest += [own_words(alert.now_sentence, person) for alert in alerts if not is_urgent(alert)]
    return urgent, rest


def is_trouble(alert: Alert) -> bool:
    return alert.rule.startswith(TROUBLES) and alert.rule not in LEFT_OUT


def is_urgent(alert: Alert) -> bool:
    return alert.danger and alert.weight == Alert.Weight.ALERT


def flag_words(flag: Flag, person: Person) -> str:
    feet = f" ({', '.join(foot_label(foot, person) for foot in flag.feet)})" if flag.feet else ""
    return f"{timezone.localtime(flag.raised_at):%-d %b %Y}: {', '.join(flag.sign_words)}{feet}"
