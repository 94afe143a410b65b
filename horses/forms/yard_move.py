"""Where a horse goes, whom its owner keeps, and whom they leave out."""

from typing import Any

from django import forms

from horses.queries.move import Move


class YardChooseForm(forms.Form):
    """Only which yard: the page then says who goes and who comes."""

    to = forms.ChoiceField(
        label="Where to?",
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of your yards."},
    )

    def __init__(self, *args: Any, yards: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["to"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = yards


class HorseMoveForm(forms.Form):
    seen = forms.CharField(required=False, max_length=20_000, widget=forms.HiddenInput)
    keep = forms.MultipleChoiceField(
        label="Goes with the yard, unless you keep them as your own",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose from these people."},
    )
    left_out = forms.MultipleChoiceField(
        label="Comes with the new yard, unless you leave them out",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose from these people."},
    )
    asks_first = forms.BooleanField(
        label="Ask me before anybody new of the yard comes on this horse", required=False
    )

    def __init__(self, *args: Any, move: Move, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._choose("keep", [(m.public_id, f"Keep {m.person} ({_as(m)})") for m in move.goes])
        coming = [
            (m.public_id, f"Leave out {m.person} ({m.get_role_display()})") for m in move.comes
        ]
        self._choose("left_out", coming)
        if move.to is None:
            del self.fields["asks_first"]

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = choices
        if not choices:
            del self.fields[name]


def _as(member: Any) -> str:
    if member.runs_yard:
        return "manager of the yard"
    return f"stand-in {member.role}" if member.stand_in else str(member.role)
