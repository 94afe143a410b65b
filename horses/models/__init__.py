"""All stored things of the app, one file a subject."""

from horses.models.alert import Alert, AlertResponse, AlertTold
from horses.models.base import RowNeverChanges
from horses.models.case import AGREEING_ROLES, Case, Invitation, Membership, Role
from horses.models.code_mail import CodeMail
from horses.models.counter import Counter
from horses.models.feed import CalendarFeed
from horses.models.foot import Foot, Shoeing
from horses.models.history import HistoryLine
from horses.models.horse import Horse, HorseWeight
from horses.models.look import Look
from horses.models.notice import CaseMute, CaseSeen, Digest, IdempotencyKey, Job, Notice
from horses.models.observations import Exam, ExamFoot, Flag, FlagAnswer, Note, Soundness
from horses.models.owner_contact import OwnerContact
from horses.models.person import Person
from horses.models.picture import Picture, PictureQuerySet
from horses.models.plan import (
    Agreement,
    PlanItem,
    PlanItemOutcome,
    PlanItemVersion,
    PlanReply,
)
from horses.models.sale import Sale
from horses.models.scheduling import Heartbeat, HorseClock, WatchNote
from horses.models.sheet import PlanSheet, SheetPaper
from horses.models.shoes import ShoeChange
from horses.models.sign_in import EmailChange, Passkey, SignIn
from horses.models.toe_direction import StanceNote
from horses.models.visit import FootWork, Trim, TrimEvent, Visit
from horses.models.yard import LeftOut, Stay, Yard, YardInvitation, YardMember, YardRole

__all__ = [
    "AGREEING_ROLES",
    "Agreement",
    "Alert",
    "AlertTold",
    "AlertResponse",
    "CalendarFeed",
    "Case",
    "CaseMute",
    "CaseSeen",
    "RowNeverChanges",
    "IdempotencyKey",
    "CodeMail",
    "Counter",
    "Digest",
    "EmailChange",
    "Exam",
    "ExamFoot",
    "Flag",
    "FlagAnswer",
    "Foot",
    "FootWork",
    "Heartbeat",
    "HistoryLine",
    "Horse",
    "HorseClock",
    "HorseWeight",
    "Invitation",
    "Look",
    "Membership",
    "Note",
    "Notice",
    "OwnerContact",
    "Passkey",
    "Person",
    "Picture",
    "PictureQuerySet",
    "PlanItem",
    "PlanItemOutcome",
    "PlanItemVersion",
    "PlanReply",
    "PlanSheet",
    "Role",
    "SheetPaper",
    "ShoeChange",
    "Shoeing",
    "SignIn",
    "Soundness",
    "StanceNote",
    "Trim",
    "TrimEvent",
    "Visit",
    "WatchNote",
    "Job",
    "LeftOut",
    "Sale",
    "Stay",
    "Yard",
    "YardInvitation",
    "YardMember",
    "YardRole",
]
