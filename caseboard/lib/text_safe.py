"""Form fields for what people type: any language, bounded length, nothing that breaks a page.

Removed, because nobody types them on purpose and they cannot be shown: NUL and the other control
characters (not the tab and the line break), lone surrogates, and the invisible characters that
re-order or hide the text around them: the bidirectional embeddings, overrides and isolates
(U+202A-202E, U+2066-2069; Unicode Standard Annex #9). Right-to-left writing itself stays, and so do
the plain direction marks that go with it (U+200E, U+200F, U+061C).
"""

import re
from typing import Any

from django import forms

MAX_LINE = 200  # house default
MAX_TEXT = 5000  # house default: two printed pages

UNSHOWN = re.compile(
    r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]"
)
LINE_BREAKS = re.compile(r"\r\n|[\r\x0b\x0c\x85\u2028\u2029]")


def safe_text(text: str) -> str:
    """The text with one kind of line break and without characters that cannot be shown."""
    return UNSHOWN.sub("", LINE_BREAKS.sub("\n", text))


def safe_line(text: str) -> str:
    """The same on one line: line breaks and tabs become spaces."""
    return re.sub(r"[\n\t]+", " ", safe_text(text))


def too_long(length: int, limit: int) -> str:
    return (
        f"This is {length:,} characters long; there is room for {limit:,}. "
        "Nothing is lost: shorten it, then save again."
    )


class _SafeField(forms.CharField):
    """Cleans before it measures: a browser counts a line break as one character, not as two."""

    clean_text = staticmethod(safe_text)

    def __init__(self, *, max_length: int, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, **kwargs)
        self.error_messages.setdefault("required", "Please fill this in.")
        if "required" not in (kwargs.get("error_messages") or {}):
            self.error_messages["required"] = "Please fill this in."

    def to_python(self, value: Any) -> str:
        return str(super().to_python(self.clean_text(str(value)) if value is not None else None))

    def run_validators(self, value: Any) -> None:
        if self.max_length is not None and len(value) > self.max_length:
            raise forms.ValidationError(too_long(len(value), self.max_length), code="max_length")
        super().run_validators(value)


class SafeCharField(_SafeField):
    """One line of text."""

    clean_text = staticmethod(safe_line)

    def __init__(self, *, max_length: int = MAX_LINE, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, **kwargs)


class SafeTextField(_SafeField):
    """Several lines of text."""

    widget = forms.Textarea

    def __init__(self, *, max_length: int = MAX_TEXT, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Without the limit: a browser cuts a long paste at it and says nothing."""
        attrs = super().widget_attrs(widget)
        attrs.pop("maxlength", None)
        return attrs
