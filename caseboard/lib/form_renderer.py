"""Writes the plain form fields without the template engine, as Django's templates do but for line ends
between two tags.

A field through its template costs a third of a millisecond, and a visit has two hundred. What is
not in `WRITERS`, a widget of a library or with a template of its own, goes through its template.
"""

from collections.abc import Callable, Mapping
from html import escape
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.utils.safestring import SafeString, mark_safe

Context = Mapping[str, Any]
_FOLDER = "django/forms/widgets/"


class PlainRenderer(DjangoTemplates):
    """Django's own renderer, with a short way for the fields that make up almost all forms."""

    def render(
        self, template_name: str, context: dict[str, Any], request: Any = None
    ) -> SafeString:
        writer = WRITERS.get(template_name)
        if writer is None:
            return mark_safe(super().render(template_name, context, request))
        return mark_safe(writer(context["widget"]).strip())


def escaped(value: Any) -> str:
    """As Django's own, without its way for words that are translated later: it is called most."""
    shown = getattr(value, "__html__", None)
    return str(shown()) if shown is not None else escape(str(value))


def _attrs(widget: Context) -> str:
    """True stands alone, False is left out."""
    return "".join(
        f" {escaped(name)}" if value is True else f' {escaped(name)}="{escaped(value)}"'
        for name, value in widget["attrs"].items()
        if value is not False
    )


def _input(widget: Context) -> str:
    value = widget["value"]
    shown = "" if value is None else f' value="{escaped(value)}"'
    start = f'<input type="{escaped(widget["type"])}" name="{escaped(widget["name"])}"'
    return f"{start}{shown}{_attrs(widget)}>"


def _labelled(widget: Context) -> str:
    """One box of several."""
    if not widget.get("wrap_label"):
        return _input(widget)
    own = widget["attrs"].get("id")
    label = f'<label for="{escaped(own)}">' if own else "<label>"
    return f"{label}{_input(widget)} {escaped(widget['label'])}</label>"


def _textarea(widget: Context) -> str:
    words = escaped(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{escaped(widget["name"])}"{_attrs(widget)}>\n{words}</textarea>'


def _select(widget: Context) -> str:
    groups = []
    for name, options, _ in widget["optgroups"]:
        written = "".join(f"\n  {_written(option)}" for option in options)
        start, end = (
            (f'\n  <optgroup label="{escaped(name)}">', "\n  </optgroup>") if name else ("", "")
        )
        groups.append(f"{start}{written}{end}")
    return f'<select name="{escaped(widget["name"])}"{_attrs(widget)}>{"".join(groups)}\n</select>'


def _option(widget: Context) -> str:
    value = escaped(widget["value"])
    return f'<option value="{value}"{_attrs(widget)}>{escaped(widget["label"])}</option>'


def _written(option: Context) -> str:
    """Through its own template where it has one."""
    name = option["template_name"]
    writer = WRITERS.get(name)
    if writer is not None:
        return writer(option)
    return PlainRenderer().render(name, {"widget": option})


WRITERS: dict[str, Callable[[Context], str]] = {
    f"{_FOLDER}{name}.html": writer
    for writer, names in (
        (_input, ("input", "text", "number", "email", "url", "hidden", "date", "time", "checkbox")),
        (_labelled, ("checkbox_option", "radio_option", "input_option")),
        (_textarea, ("textarea",)),
        (_select, ("select",)),
        (_option, ("select_option",)),
    )
    for name in names
}
