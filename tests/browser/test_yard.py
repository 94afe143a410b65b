"""From an empty database to a yard of ten horses with farrier, vet and groom, on a phone."""

from datetime import date, timedelta

from playwright.sync_api import Locator

from caseboard.lib import clock
from horses.access_yard import yard_access_get
from horses.domain.trim_cycle import UNKNOWN
from horses.models import Horse, Membership, Person, YardInvitation
from horses.queries.yards import YardHorse, yard_horses
from horses.services.yard_links import yard_link_make, yard_token
from tests.browser.conftest import Open
from tests.browser.letters import code_for
from tests.browser.thumb import Thumb
from tests.browser.visitor import Visitor
from tests.yards import make_yard_cast

# Quality: at most so many invitations, and taps of the manager's.
MOST_INVITATIONS, MOST_TAPS = 4, 60
TEN = (
    "Ash, 2015, barefoot, trimmed {0}\nBirch, 11 yo mare, fronts, trimmed 6 weeks ago\n"
    "Cedar, shod all round {0}\nDamson, trimmed {0}\nElder, 2012, done yesterday\n"
    "Fir, unshod, trimmed {0}\nGorse, trimmed today\nHazel, 2020, hinds only, trimmed {0}\n"
    "Ivy, gelding, trimmed {0}\nJuniper, trimmed 2 weeks ago"
)


def _day_before(days: int) -> str:
    day: date = clock.now().date() - timedelta(days=days)
    return f"{day:%-d %b %Y}"


class Hand(Thumb):
    """A thumb whose taps lead to another page."""

    def to(self, spot: Locator) -> None:
        self.who.leaves(lambda: self.tap(spot))

    def press(self, name: str) -> None:
        self.to(self.who.control(name))

    def put(self, name: str, text: str) -> None:
        """A field tapped, and what was on the clipboard or typed put into it: one tap."""
        self.tap(self.who.field(name))
        self.who.fill(**{name: text})


def _ask(manager: Visitor, hand: Hand, missing: str, role: str = "") -> str:
    """One link for one role, off the manager's screen."""
    hand.press(missing)
    if role:
        hand.tap(manager.page.locator(f"main [name=role][value={role}]"))
    hand.press("Make the link")
    text_message = manager.control("Send it as a text message").get_attribute("href") or ""
    link = manager.page.locator("main .words").inner_text()
    assert text_message.startswith("sms:?&body=")
    assert link.rsplit("/", 2)[1] in text_message
    hand.taps += 1  # the text message, which this browser cannot send
    hand.press("Back to the yard")
    return link


def _join(visitor: Open, link: str, name: str, role: str, seen: set[tuple[str, int]]) -> Visitor:
    """Name and address once, one code."""
    email = f"{name.split()[0].lower()}@example.test"
    one = visitor(name, email, seen=seen)
    one.go(link)
    one.fill(name=name, email=email)
    one.press(f"Join as {role}")
    one.fill(code=code_for(email))
    one.press("Join")
    one.sees("asked to read your name and say yes")
    assert not Membership.objects.filter(person__email=email).exists()
    return one


def _say_yes(manager: Visitor, hand: Hand, name: str) -> None:
    hand.press(f"Look at {name}")
    manager.sees(name, "on the team of 10 horses at once")
    hand.press("Yes, this is right")


def test_ten_horses_and_their_people_within_sixty_taps(visitor: Open) -> None:
    manager = visitor("Mara Manager", "mara@example.test")
    hand = Hand(manager)
    manager.go("/accounts/signup/")
    hand.put("name", manager.name)
    hand.put("email", manager.email)
    hand.press("Go on")
    hand.put("code", code_for(manager.email))
    hand.press("That is my address")

    hand.to(manager.page.get_by_role("link", name="Make a yard"))
    hand.put("name", "Quillmarsh")
    hand.put("vet_phone", "01632 960299")
    hand.press("Make this yard")
    hand.press("No horse yet: write their names")
    hand.put("lines", TEN.format(_day_before(20)))
    hand.press("Go on")
    manager.sees("Understood like this", "born about", "front shoes, last trimmed")
    hand.press("Add 10 horses")
    manager.sees_no("without a last trim")

    farrier = _ask(manager, hand, "No farrier yet: ask one")
    vet = _ask(manager, hand, "No vet yet: ask one")
    groom = _ask(manager, hand, "Ask somebody to join", "carer")
    for link, name, role in (
        (farrier, "Fay Farrier", "farrier"),
        (vet, "Vic Vet", "vet"),
        (groom, "Gro Groom", "carer"),
    ):
        one = _join(visitor, link, name, role, manager.seen)
        manager.page.reload()
        hand.taps += 1
        _say_yes(manager, hand, name)
        one.go("/horses/")
        one.sees("Ash", "Juniper")

    person = Person.objects.get(email=manager.email)
    horses = _horses_of(person)
    assert len(horses) == Horse.objects.count() == 10
    assert [h.horse.name for h in horses if h.due.state == UNKNOWN or h.due.on is None] == []
    assert Membership.objects.filter(left_at=None).count() == 10 * 4
    assert YardInvitation.objects.count() <= MOST_INVITATIONS
    print(f"\n{hand.taps} taps, {YardInvitation.objects.count()} invitations")
    assert hand.taps <= MOST_TAPS


def _horses_of(person: Person) -> list[YardHorse]:
    place = person.yard_places.get()
    access = yard_access_get(person, place.yard.public_id)
    return yard_horses(access, today=clock.now().date())


def test_the_pages_of_a_yard_stand_up_to_a_look_by_each_of_its_people(enter: Open) -> None:
    cast = make_yard_cast(clock.now())
    place = cast.place(cast.manager)
    link = yard_link_make(access=place, role="carer", now=clock.now())
    waiting = cast.member(cast.waiting)
    yard, linnet = cast.yard.public_id, cast.linnet.public_id
    at = f"/yards/{yard}/"
    shown = [
        (cast.manager, [at, f"{at}about/", f"{at}horses/add/", f"{at}last-trims/"]),
        (cast.manager, [f"{at}links/new/", f"{at}links/{link.public_id}/"]),
        (cast.manager, [f"{at}people/{waiting.public_id}/", "/yards/new/", "/horses/"]),
        (cast.manager, [f"{at}people/{cast.member(cast.groom).public_id}/end/"]),
        (cast.livery, [at, f"{at}horses/bring/", f"/cases/{linnet}/horse/yard/?to=none"]),
        (cast.livery, [f"/cases/{linnet}/horse/yard/", f"/cases/{linnet}/team/"]),
        (cast.livery, [f"/cases/{linnet}/horse/sale/", f"/cases/{linnet}/horse/state/"]),
        (cast.farrier, [at]),
        (cast.groom, [at]),
    ]
    for person, paths in shown:
        one = enter(person)
        for path in paths:
            one.go(path)
    anybody = enter(cast.other_manager)
    anybody.go(f"/yard-invitations/{yard_token(link.public_id)}/")
