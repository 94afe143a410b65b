"""The urgent signs and what to do until the vet has spoken: the one place for page, paper and mail.

They follow the usual published advice to owners: nail or wire in the sole, leave it, stop the horse
walking, call a vet at once (University of Florida Large Animal Hospital, 2012); signs of an abscess
(The Veterinary Care of the Horse, p. 211); not bearing weight (AAEP lameness grade 5); growth at the
fetlock of a foal (Ducharme in the American Farriers Journal). The rest is common practice, no source.
Pure.
"""

from dataclasses import dataclass

# A nail or wire shows the vet where it went, and does more harm coming out unseen; a stone that
# stays in bruises the sole with each step. Common practice for the stone, no source.
LEAVE_IT = "Do not pull it out. The vet wants to see where it went."
STONE = (
    "A stone is taken out at once, with the hoof pick. Then look at the foot: a hole, blood or a "
    "lame horse, and you call your vet now."
)
NO_PAINKILLER = (
    "Do not give a painkiller before you have asked the vet: it hides what the vet must see. Write "
    "down any that was given, and when."
)


@dataclass(frozen=True)
class UrgentSign:
    """One sign: as it is ticked, as it stands on the door, how it looks, what to do meanwhile."""

    key: str
    words: str
    seen: str
    advice: tuple[str, ...]
    far: str = ""  # in few words, for who reads the stable door from a metre
    door: str = ""  # short, after "call your vet now when the horse"; empty: not on the door
    hint: str = ""


URGENT_SIGNS = (
    UrgentSign(
        "no_weight",
        "Will not put weight on it",
        "Or only touches the ground with the toe. A foot abscess can look like a broken bone, and "
        "a broken bone like an abscess. Walking it to see whether it gets better does harm.",
        ("Do not make the horse walk.", "Keep it quiet where it stands."),
        far="Will not stand on it",
        door="will not put weight on a foot",
    ),
    UrgentSign(
        "in_sole",
        "Nail, wire or other sharp thing in the sole",
        "However well the horse walks on it. What matters is where the point ends, and that shows "
        "only while it is in place.",
        (
            LEAVE_IT,
            "Stop the horse walking. Stand where it is, or bring help to it.",
            "If it is long, protect it so that it is not driven deeper.",
            STONE,
        ),
        far="Nail or wire in it: leave it in",
        door="has a nail or wire in the sole (leave it in; a stone is taken out and the foot "
        "looked at)",
        hint="Do not pull it out. A stone is taken out.",
    ),
    UrgentSign(
        "rocked_back",
        "Rocked back, or will not move",
        "Weight on the heels, front feet stretched out, turns as if on hot stones, or lies down "
        "and does not want to rise.",
        ("Do not make the horse walk or turn.", "Deep, soft bedding where it stands."),
        far="Will not move",
        door="is rocked back or will not move",
    ),
    UrgentSign(
        "hot_pounding",
        "Hot feet with a pounding pulse",
        "Both front feet warm for hours, and the pulse at the fetlock easy to feel and strong.",
        (
            "Do not make the horse walk.",
            "Take away rich feed and keep it off grass until the vet has spoken. Leave water.",
        ),
        far="Hot, pounding pulse",
        door="has hot feet with a pounding pulse",
    ),
    UrgentSign(
        "coronet_wound",
        "Wound at the coronet or heel bulbs",
        "Even a small one: joint, tendon and the growing edge of the hoof lie just beneath.",
        (
            "Cover it with something clean. Nothing out of a tin or a tube before the vet has seen "
            "it.",
        ),
        far="Wound at the hairline or heel",
        door="has a wound at the coronet or heel bulbs",
    ),
    UrgentSign(
        "leg_fever",
        "Swelling up the leg, or fever",
        "A thick, warm leg above the hoof, or a horse that is dull and warm.",
        ("Take the temperature and write down the time.",),
        far="Leg swollen, or fever",
        door="has a swelling up the leg, or fever",
    ),
    UrgentSign(
        "lame_after_shoeing",
        "Suddenly lame within days of shoeing",
        "A nail may sit too close, or the sole may be bruised.",
        (
            "Do not make the horse walk.",
            "Tell the farrier as well. Do not pull the shoe or a nail yourself.",
        ),
        far="Lame soon after shoeing",
        door="is suddenly lame within days of shoeing",
    ),
    UrgentSign(
        "foal_leg",
        "A foal's leg bends a new way",
        "The first weeks decide: growth near the fetlock is nearly done at about a hundred days.",
        (
            "Keep the foal quiet with its mare until it has been seen. Do not rasp it straight "
            "yourself.",
        ),
    ),
)
SOON = "New lameness, a warm foot, a stronger pulse, or heat the day after shoeing"

DO_NOT = (
    "Do not pull out a nail, wire or anything else sharp. If it stands out far, ask on the phone "
    "about cutting it short.",
    "Do not walk the horse about, lunge it or load it unless the vet says so.",
    "Do not trim, pare or dig in the sole.",
    NO_PAINKILLER,
)
DO = (
    "Stop the horse where it stands, or take it the few steps to the nearest safe, level place.",
    STONE,
    "Keep it quiet and on something soft, with a calm companion in sight.",
    "Cover a wound or a hole in the sole with something clean. Note when it happened and what you "
    "saw.",
    "Ask the vet about tetanus cover when anything went into the foot.",
    "Keep your phone with you and say exactly where you are.",
)
