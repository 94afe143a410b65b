"""What a browser says it is, in the plain words by which a person knows it again.

Only the name it sends is looked at, which anybody can make up: it helps somebody to recognise their
own phone, and nothing is decided by it.
"""

UNKNOWN = "A browser that does not say what it is"
# In this order: later ones also call themselves by the earlier names' marks.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung's browser"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
MACHINES = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "an Android device"),
    ("CrOS", "a Chromebook"),
    ("Windows", "a Windows computer"),
    ("Macintosh", "a Mac"),
    ("Linux", "a Linux computer"),
)


def device_words(user_agent: str) -> str:
    """ "Firefox on an Android phone"."""
    browser = next((words for mark, words in BROWSERS if mark in user_agent), "")
    machine = next((words for mark, words in MACHINES if mark in user_agent), "")
    if machine == "an Android device":
        machine = "an Android phone" if "Mobile" in user_agent else "an Android tablet"
    if browser and machine:
        return f"{browser} on {machine}"
    return browser or (f"A browser on {machine}" if machine else UNKNOWN)
