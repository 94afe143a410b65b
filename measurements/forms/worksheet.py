"""The end of the barefoot-or-shod worksheet: what is proposed, and why."""

from collections.abc import Sequence

from django import forms

from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.forms.keyed import KeyedForm

WAYS = {
    "stay": "Leave it as it is, and look again at the next visit",
    "barefoot": "Barefoot all round",
    "boots": "Barefoot, with boots for the hard ground",
    "fronts": "Front shoes",
    "all_four": "All four shod",
}
ASK_VET = "Something of the vet’s is open: nothing is changed before the vet has said so."
WITHOUT_SHOES = ("barefoot", "boots")
ANSWERS = {"sore_on": "Sore on", "shows": "Shows and rules", "riding": "Asked of it"}


class WorksheetForm(KeyedForm):
    """What only people know, and the proposal. Nothing here is worked out."""

    sore_on = SafeCharField(
        label="Sore on which ground",
        required=False,
        max_length=200,
        help_text="As you see it: stones, road, frozen ground, none.",
    )
    shows = SafeCharField(label="Shows planned, and their rules", required=False, max_length=200)
    riding = SafeCharField(
        label="What will be asked of it till then", required=False, max_length=200
    )
    way = forms.ChoiceField(
        label="What do you propose?",
        choices=list(WAYS.items()),
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose what you propose.",
            "invalid_choice": "Choose one of these.",
        },
    )
    more = SafeCharField(
        label="More exactly",
        required=False,
        max_length=300,
        help_text="Which kind of shoe, from when, for how many cycles.",
    )
    reason = SafeTextField(
        label="Why",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="The others agree to the reason as well. The whole team reads it.",
        error_messages={"required": "Say why: the others agree to the reason as well."},
    )

    def text(self, vets_open: Sequence[str]) -> str:
        """The words of the plan item. Without shoes, beside what the vet directs: it says so."""
        more = self.cleaned_data["more"]
        words = f"{WAYS[self.cleaned_data['way']]}.{' ' + more if more else ''}"
        return f"{words} {ASK_VET}" if self.asks_vet(vets_open) else words

    def asks_vet(self, vets_open: Sequence[str]) -> bool:
        return bool(vets_open) and self.cleaned_data["way"] in WITHOUT_SHOES

    def why(self, vets_open: Sequence[str]) -> str:
        """The reason, with what was answered above it, and what of the vet's it goes against."""
        answers = [
            f"{words}: {self.cleaned_data[name]}."
            for name, words in ANSWERS.items()
            if self.cleaned_data[name]
        ]
        against = [f"The vet’s, still open: {words}." for words in vets_open]
        against = against if self.asks_vet(vets_open) else []
        return "\n".join([self.cleaned_data["reason"], *answers, *against])
