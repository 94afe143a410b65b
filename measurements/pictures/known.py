"""What is known of measuring by photographs, in the words that stand wherever such figures do."""

# True of what was tried and known in 2026.
TRIED = (
    "No real photographs of feet with a card were available to us: how far a value may be off is reckoned "
    "and simulated."
)
KNOWN = (
    "Of photographs of feet it is known that two people agree well on them (White et al., Equine "
    "Vet J 2008;40:623-628: agreement indices of at least .89), that the hoof angle off them did not meet "
    "its target against radiographs (the same), and that angles taken in different ways are not "
    "interchangeable (J Equine Vet Sci 2023;121:104195)."
)
