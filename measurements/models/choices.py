"""The choices that more than one table offers, from the pure lists."""

from measurements.hoof.quantities import QUANTITIES, Method, Moment, TrimState

QUANTITY_CHOICES = [(key, quantity.label) for key, quantity in QUANTITIES.items()]
METHOD_CHOICES = [(method.value, method.label) for method in Method]
TRIM_CHOICES = [(state.value, state.label) for state in TrimState]
MOMENT_CHOICES = [(moment.value, moment.label) for moment in Moment]
