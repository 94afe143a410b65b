"""Who may do what, written down a second time and apart from the program.

The policy table is compared with this one, so that a right never widens by a slip of the hand:
whoever changes one changes the other and says why.
"""

# action, roles (o owner, f farrier, v vet, c carer), whether it stays possible on a closed case, and
# whether a fresh code is asked for first
RIGHTS_TEXT = """
case.see            ofvc  closed
case.look_as        o     closed
case.open           ofv
case.close          ov            again
case.export         ofvc  closed  again
horse.edit          o
horse.pause         o
horse.move          o             again
horse.sell          o             again
horse.weigh         ofv
owner.contact       o     closed
team.invite         o             again
team.uninvite       o
team.confirm        ofv           again
team.remove         o     closed  again
team.hand_over      o             again
team.yard           o             again
team.leave          ofvc  closed
look.mark           ofvc
look.undo           ofvc
flag.raise          ofvc
flag.answer         ofv
flag.vet_phoned     o
flag.photo          ofvc
picture.add         ofvc
picture.redact      ofvc  closed
shoe.back           ofc
note.write          ofvc
exam.record         v
exam.correct        v
reading.record      ofv
reading.correct     ofv
points.place        ofv
points.place_on_film v
reading.import      ofv
work.record         f
visit.void          f
visit.correct       f
visit.plan          ofv
visit.report        ofvc
visit.vouch         fv
visit.confirm       ofv
visit.late          f
interval.set        ofv
stance.note         ofv
target.routine      fv
target.therapeutic  v
plan.propose        ofv
plan.therapeutic    v
plan.emergency      v
plan.agree          ofv
plan.agree_therapeutic ofv        again
plan.reply          ofv
plan.finish         ofv
sheet.issue         ofv   closed
alert.see           ofvc
alert.answer        ofv
"""
# A carer who manages the yard where the horse stands may these too: plan, record and report; never
# agree for the owner, say who is on the team, or sell.
RUNS_YARD = {
    "horse.weigh",
    "flag.vet_phoned",
    "note.write",
    "reading.record",
    "reading.correct",
    "points.place",
    "visit.plan",
}
# What is the owner's, and also whoever's holds the horse for an owner without an account.
HOLDERS = frozenset({"horse.edit", "horse.pause", "owner.contact", "team.invite", "team.uninvite"})
ROLES = {"o": "owner", "f": "farrier", "v": "vet", "c": "carer"}


def _read() -> dict[str, tuple[frozenset[str], bool]]:
    rows = [line.split() for line in RIGHTS_TEXT.strip().splitlines()]
    return {
        action: (frozenset(ROLES[letter] for letter in letters), "closed" in rest)
        for action, letters, *rest in rows
    }


RIGHTS = _read()
ASKS_AGAIN = {line.split()[0] for line in RIGHTS_TEXT.splitlines() if line.endswith("again")}


def allowed(action: str, role: str, *, closed: bool = False) -> bool:
    roles, closed_too = RIGHTS[action]
    return role in roles and (closed_too or not closed)
