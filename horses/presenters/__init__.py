"""Rows become finished words and view models. Reads what it is given; fetches nothing itself."""
