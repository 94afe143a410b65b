"""The plan items in the visit's form: done, partly or not done, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from django import forms
from django.forms.boundfield import BoundWidget
from django.http import QueryDict

from caseboard.lib.text_safe import SafeCharField
from horses.models import PlanItemOutcome
from horses.queries.plan_lines import PlanLine
from horses.services.visits import ItemOutcome

Result = PlanItemOutcome.Result
# The same as no answer: takes one back. None is chosen at first, so that a keyboard comes to each.
NOT_NOW = "not_now"
CHANGED = "This item was changed meanwhile. Read it again, then save."
FINISHED = "This item is finished or withdrawn by now: choose “not this time”."


@dataclass(frozen=True)
class ItemRow:
    """One plan item as shown, with its fields."""

    line: PlanLine
    result: forms.BoundField
    words: forms.BoundField
    version: forms.BoundField

    @property
    def done(self) -> BoundWidget:
        return self.result.subwidgets[0]

    @property
    def else_said(self) -> list[BoundWidget]:
        """The answers that are rarer: partly, not done, not this time."""
        return self.result.subwidgets[1:]

    @property
    def is_else(self) -> bool:
        return self.result.value() in (Result.PARTLY, Result.NOT_DONE) or bool(self.result.errors)


class OutcomeFields:
    """Adds the fields of each plan item to a form and reads them back.

    A field is named by the item and carries the version that was read beside it: what was carried
    out is what the person saw.
    """

    def __init__(
        self, form: forms.Form, plan: Sequence[PlanLine], *, marked: frozenset[int] = frozenset()
    ) -> None:
        """`marked`: items that were marked already, so that they may be although finished."""
        self.form, self.marked = form, marked
        # A finished item is shown only when something was written about it.
        self.plan = [line for line in plan if self._may(line) or self._written(line)]
        for line in self.plan:
            form.fields |= self._fields(line)

    def _name(self, line: PlanLine, part: str) -> str:
        return f"item-{line.item.public_id}-{part}"

    def _may(self, line: PlanLine) -> bool:
        return line.is_open or line.item.pk in self.marked

    def _written(self, line: PlanLine) -> bool:
        return self.form.data.get(self._name(line, "result"), "") not in ("", NOT_NOW)

    def _fields(self, line: PlanLine) -> dict[str, forms.Field]:
        title = f"Item {line.item.number}"
        return {
            self._name(line, "result"): forms.ChoiceField(
                label=title,
                required=False,
                widget=forms.RadioSelect,
                choices=[*Result.choices, (NOT_NOW, "not this time")],
            ),
            self._name(line, "words"): SafeCharField(
                label=f"{title}: why, or how far", required=False, max_length=300
            ),
            self._name(line, "version"): forms.CharField(
                required=False,
                widget=forms.HiddenInput(attrs={"data-keep-field": True}),
                initial=line.version.public_id,
            ),
        }

    def rows(self) -> list[ItemRow]:
        def of(line: PlanLine, part: str) -> forms.BoundField:
            return self.form[self._name(line, part)]

        return [
            ItemRow(line, of(line, "result"), of(line, "words"), of(line, "version"))
            for line in self.plan
        ]

    def cleaned(self) -> list[ItemOutcome]:
        """What was carried out; errors are put beside the fields."""
        found = [self._cleaned_line(line) for line in self.plan]
        return [outcome for outcome in found if outcome is not None]

    def _cleaned_line(self, line: PlanLine) -> ItemOutcome | None:
        result = self.form.cleaned_data.get(self._name(line, "result")) or ""
        words = self.form.cleaned_data.get(self._name(line, "words")) or ""
        if result in ("", NOT_NOW):
            if words:
                self.form.add_error(
                    self._name(line, "result"), "Say which: done, partly, not done."
                )
            return None
        if not self._may(line):
            self.form.add_error(self._name(line, "result"), FINISHED)
        elif self.form.cleaned_data.get(self._name(line, "version")) != line.version.public_id:
            self._show_present_version(line)
            self.form.add_error(self._name(line, "result"), CHANGED)
        elif result != Result.DONE and not words:
            self.form.add_error(self._name(line, "words"), "Say why, in a few words.")
        else:
            return ItemOutcome(line.version.public_id, str(result), words)
        return None

    def _show_present_version(self, line: PlanLine) -> None:
        """The page shows the new words now, so the next sending is about them."""
        data = cast(QueryDict, self.form.data).copy()
        data[self._name(line, "version")] = line.version.public_id
        self.form.data = data
