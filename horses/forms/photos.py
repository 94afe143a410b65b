"""Photos in a form: each is read and drawn anew before anything else happens."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from caseboard.lib.photo import Photo, PictureUnreadable, photo_read
from caseboard.lib.text_safe import safe_line

ACCEPTED = "image/jpeg,image/png,image/webp,image/heic,image/heif"
ACCEPTED_OF_VETS = f"{ACCEPTED},application/dicom,.dcm"
SHOWN_NAME = 40  # characters of a file's name in a message
CHOOSE_AGAIN = "Then choose the photos again: a browser does not keep them."


class PhotosInput(forms.ClearableFileInput):
    """Made smaller in the phone before they are sent: see js/pictures.js."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Up to `most` photos. Cleans to a list of Photo; says of each refused one what is wrong."""

    widget = PhotosInput(attrs={"accept": ACCEPTED, "data-pictures": True})

    def __init__(self, *, most: int, **kwargs: Any) -> None:
        self.most = most
        super().__init__(required=False, **kwargs)

    def clean(self, data: Any, initial: Any = None) -> list[Photo]:
        files: list[UploadedFile] = [file for file in data or [] if file]
        if len(files) > self.most:
            raise forms.ValidationError(f"At most {self.most} photos at a time.")
        return self._read_all(files)

    def _read_all(self, files: Iterable[UploadedFile]) -> list[Photo]:
        photos, refused = [], []
        for file in files:
            try:
                photos.append(photo_read(file, size_bytes=file.size or 0))
            except PictureUnreadable as refusal:
                refused.append(f"{_shown(file)}: {refusal}")
        if refused:
            raise forms.ValidationError([*refused, CHOOSE_AGAIN])
        return photos


def _shown(file: UploadedFile) -> str:
    return safe_line(file.name or "")[:SHOWN_NAME] or "A photo"
