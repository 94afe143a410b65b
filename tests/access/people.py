"""Who knocks: everybody on the case, everybody of another one, and those in between."""

from django.test import Client

from tests.cast import Cast

# name -> role. A stand-in has the rights of a farrier.
MEMBERS = {
    "owner": "owner",
    "vet": "vet",
    "farrier": "farrier",
    "carer": "carer",
    "stand_in": "farrier",
}
OUTSIDERS = (
    "other_owner",
    "other_vet",
    "other_farrier",
    "removed",
    "invited",
    "staff",
    "stranger",
)
EVERYBODY = ("anonymous", *MEMBERS, *OUTSIDERS)


class People:
    """A browser a person, signed in once. Errors of the server come back as answers."""

    def __init__(self, cast: Cast) -> None:
        self._cast = cast
        self._clients: dict[str, Client] = {}

    def client(self, name: str) -> Client:
        if name not in self._clients:
            client = Client(raise_request_exception=False)
            if name != "anonymous":
                client.force_login(getattr(self._cast, name))
            self._clients[name] = client
        return self._clients[name]
