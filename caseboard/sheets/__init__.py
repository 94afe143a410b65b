"""What is printed: read, frozen into a value, fitted to the page, drawn.

Decided 2026-11: the farrier's day list and the blank visit sheet are not kept: what counts is typed
in after. The day list cuts all horses' words alike until six fit a page, the blank sheet offers
fewer places; both say what they left off.
"""
