"""A browser behind the https proxy of a new installation, with no more than what a person does."""

import http.client
import re
import time
from email.message import Message
from urllib.parse import urlencode, urlsplit


class Visitor:
    """Speaks to the port as the proxy would, and keeps cookies as a browser would over https."""

    def __init__(self, host: str, port: int) -> None:
        self.host, self.port = host, port
        self.cookies: dict[str, str] = {}
        self.page = ""

    def get(self, path: str) -> int:
        return self._ask("GET", path, None)

    def post(self, path: str, **fields: str) -> int:
        """Sends the form of the page that is open."""
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', self.page)
        assert token is not None, self.page[:2000]
        return self._ask("POST", path, {"csrfmiddlewaretoken": token[1], **fields})

    def get_when_up(self, path: str, *, wait_s: float) -> int:
        end = time.monotonic() + wait_s
        while True:
            try:
                return self.get(path)
            except OSError:
                if time.monotonic() > end:
                    raise
                time.sleep(0.3)

    def _ask(self, method: str, path: str, fields: dict[str, str] | None) -> int:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {
            "Host": self.host,
            "X-Forwarded-Proto": "https",
            "X-Forwarded-For": "192.0.2.7",
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "Referer": f"https://{self.host}{path}",
            "Origin": f"https://{self.host}",
            "Content-Type": "application/x-www-form-urlencoded",
        }
        connection.request(method, path, urlencode(fields) if fields else None, headers)
        answer = connection.getresponse()
        self.page = answer.read().decode("utf-8", "replace")
        self._keep(answer.headers)
        connection.close()
        if answer.status in (301, 302) and (goes_to := answer.headers["Location"]):
            to = urlsplit(goes_to)
            assert to.netloc in ("", self.host), f"it leads to {goes_to}"
            return self._ask("GET", f"{to.path}?{to.query}" if to.query else to.path, None)
        return answer.status

    def _keep(self, headers: Message) -> None:
        for line in headers.get_all("Set-Cookie", []):
            name, _, value = line.split(";")[0].partition("=")
            self.cookies[name] = value
