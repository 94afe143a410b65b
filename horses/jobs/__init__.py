"""Work that is done after a deed, by whichever process holds its lease."""
