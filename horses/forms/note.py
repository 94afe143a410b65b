"""A note: its words, and who reads them."""

from collections.abc import Sequence
from typing import Any

from django import forms

from caseboard.lib.text_safe import SafeTextField
from horses.domain.wording import TEAM, Audience
from horses.forms.audience import NARROWER, AudienceField, at_least
from horses.forms.keyed import KeyedForm
from horses.forms.pictures import PictureFields
from horses.models import Note


class NoteForm(PictureFields, KeyedForm):
    """A new note, or a later one that corrects `corrects` for at least the same readers, or the
    words of `again` once more as a note of its own, for readers that are chosen anew."""

    body = SafeTextField(label="Your note", widget=forms.Textarea(attrs={"rows": 6}))
    audience = AudienceField(initial=TEAM)

    def __init__(
        self,
        *args: Any,
        offered: Sequence[Audience],
        role: str,
        corrects: Note | None = None,
        again: Note | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.offer_views(role)
        field = self.fields["audience"]
        assert isinstance(field, AudienceField)
        if corrects is None:
            field.offer(offered)
            if again is not None:
                self.initial["body"] = again.body
                self.initial["audience"] = ""
            return
        field.offer(at_least(offered, frozenset(corrects.audience_roles)))
        field.error_messages["invalid_choice"] = NARROWER
        field.help_text = NARROWER
        self.initial["body"] = corrects.body
        self.initial["audience"] = ",".join(corrects.audience_roles)
