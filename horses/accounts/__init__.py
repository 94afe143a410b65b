"""A person signs in: addresses, codes, passkeys, sessions. A slice with its own forms, services, views."""
