"""How people write the feet, quantities, methods and moments in a table. Pure."""

from measurements.hoof.feet import Foot, label
from measurements.hoof.quantities import QUANTITIES, Method, TrimState


def plain(text: str) -> str:
    """Small letters, single spaces, no underscores: how names are compared."""
    return " ".join(text.replace("_", " ").casefold().split())


FEET = {foot.value.casefold(): foot for foot in Foot}
FEET |= {
    label(foot, style).replace(" ", joiner): foot
    for foot in Foot
    for style in ("left_right", "near_off")
    for joiner in (" ", "-", "")
}
FEET |= {
    f"{side} {end}": Foot(
        f"{'L' if side in ('left', 'near') else 'R'}{'F' if end == 'front' else 'H'}"
    )
    for side in ("left", "right", "near", "off")
    for end in ("front", "back")
}
NAMES = {plain(key): of for key, of in QUANTITIES.items()}
NAMES |= {plain(of.label): of for of in QUANTITIES.values()}
NAMES |= {plain(of.label.replace("palmar", "plantar")): of for of in QUANTITIES.values()}
METHODS = {plain(method.value): method.value for method in Method}
METHODS |= {plain(method.label): method.value for method in Method}
METHODS |= {
    "caliper": "tape",
    "calliper": "tape",
    "hoof gauge": "gauge",
    "x-ray": "radiograph",
    "xray": "radiograph",
    "photograph": "photo",
}
TRIMS = {state.value: state.value for state in TrimState}
TRIMS |= {plain(state.label): state.value for state in TrimState}
TRIMS |= {"before trim": "before", "after trim": "after", "between trims": "between"}
