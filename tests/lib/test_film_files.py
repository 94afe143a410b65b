"""Vets' films as DICOM files: drawn as they are meant to be seen, with nothing of what they say."""

import io
import zlib
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import (
    UID,
    DeflatedExplicitVRLittleEndian,
    DigitalXRayImageStorageForPresentation,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGBaseline8Bit,
    RLELossless,
    generate_uid,
)

from caseboard.lib import photo
from caseboard.lib.film_child import answered
from caseboard.lib.photo import (
    ENDED,
    FILM_UNREADABLE,
    MAX_BYTES,
    MAX_FILM_BYTES,
    MAX_PIXELS,
    Photo,
    PictureUnreadable,
    photo_read,
)
from caseboard.lib.photo_child import DONE

NAME = "CANARY^OWNER"
Grid = NDArray[Any]


def slope(rows: int = 60, columns: int = 100, top: int = 4095) -> Grid:
    """Black at the left, white at the right."""
    return np.tile(np.linspace(0, top, columns).astype(np.uint16), (rows, 1))


def film(pixels: Grid | None = None, **said: Any) -> FileDataset:
    pixels = slope() if pixels is None else pixels
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = DigitalXRayImageStorageForPresentation
    meta.MediaStorageSOPInstanceUID = generate_uid()
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    made = FileDataset("", {}, file_meta=meta, preamble=b"\0" * 128)
    made.SOPClassUID = DigitalXRayImageStorageForPresentation
    made.SOPInstanceUID = meta.MediaStorageSOPInstanceUID
    made.PatientName, made.ResponsiblePerson = NAME, NAME
    made.PatientComments, made.InstitutionName = NAME, NAME
    made.add_new(0x00091010, "LO", NAME)  # a maker's own
    made.Rows, made.Columns = pixels.shape
    made.SamplesPerPixel, made.PhotometricInterpretation = 1, "MONOCHROME2"
    made.BitsAllocated, made.BitsStored, made.HighBit, made.PixelRepresentation = 16, 12, 11, 0
    made.PixelData = pixels.astype("<u2").tobytes()
    made["PixelData"].VR = "OW"
    for name, value in said.items():
        setattr(made, name, value)
    return made


def as_jpeg(**said: Any) -> FileDataset:
    eight = (slope() // 16).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(eight).save(out, "JPEG", quality=95)
    made = film(BitsAllocated=8, BitsStored=8, HighBit=7, **said)
    made.file_meta.TransferSyntaxUID = JPEGBaseline8Bit
    made.PixelData = encapsulate([out.getvalue()])
    made["PixelData"].VR, made["PixelData"].is_undefined_length = "OB", True
    return made


def sent(made: FileDataset) -> bytes:
    out = io.BytesIO()
    made.save_as(out, enforce_file_format=True)
    return out.getvalue()


def read(data: bytes | FileDataset) -> Photo:
    """In a process of its own, as pages do."""
    data = data if isinstance(data, bytes) else sent(data)
    return photo_read(io.BytesIO(data), size_bytes=len(data))


def here(data: bytes | FileDataset) -> tuple[int, bytes]:
    """In this process: a second quicker."""
    data = data if isinstance(data, bytes) else sent(data)
    return answered(data, max_pixels=MAX_PIXELS, max_side_px=2400, quality=85, max_kb=700)


def opened(made: FileDataset) -> Image.Image:
    code, jpeg = here(made)
    assert code == DONE
    return Image.open(io.BytesIO(jpeg), formats=("JPEG",))


def greys(made: FileDataset) -> Grid:
    """Along the middle row."""
    kept = opened(made).convert("L")
    return np.asarray(kept, dtype=int)[kept.height // 2]


def test_a_film_is_drawn_as_large_as_it_is_and_known_for_one() -> None:
    made = read(film())
    assert (made.width_px, made.height_px, made.is_film) == (100, 60, True)
    seen = greys(film())
    assert seen[0] < 10
    assert seen[-1] > 245
    assert (np.diff(seen) >= -2).all()


def _rle() -> FileDataset:
    made = film()
    made.compress(RLELossless, generate_instance_uid=False)
    return made


def _implicit() -> FileDataset:
    made = film()
    made.file_meta.TransferSyntaxUID = ImplicitVRLittleEndian
    return made


@pytest.mark.parametrize("make", [film, _implicit, _rle, as_jpeg])
def test_each_packing_that_is_read_shows_the_same(make: Any) -> None:
    assert np.abs(greys(make()) - np.linspace(0, 255, 100)).max() < 8


@pytest.mark.parametrize("make", [film, as_jpeg])
def test_nothing_that_the_file_says_is_kept(make: Any) -> None:
    data = sent(make())
    assert data.count(b"CANARY") == 5
    kept = read(data).jpeg
    assert b"CANARY" not in kept
    image = Image.open(io.BytesIO(kept))
    assert not image.getexif()
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_film_whose_lowest_value_is_white_is_turned_round() -> None:
    seen = greys(film(PhotometricInterpretation="MONOCHROME1"))
    assert seen[0] > 245
    assert seen[-1] < 10


def test_its_window_says_what_is_black_and_what_is_white() -> None:
    seen = greys(film(WindowCenter=1024, WindowWidth=1024))
    assert (seen[:10].max() < 10, seen[40:].min() > 245) == (True, True)
    assert abs(seen[25] - 127) < 12


def test_of_several_windows_the_first_counts() -> None:
    one = greys(film(WindowCenter=[1024, 3000], WindowWidth=[1024, 50]))
    assert (one == greys(film(WindowCenter=1024, WindowWidth=1024))).all()


@pytest.mark.parametrize("function", ["SIGMOID", "LINEAR_EXACT"])
def test_the_other_shapes_of_a_window_have_the_same_middle(function: str) -> None:
    seen = greys(film(WindowCenter=2048, WindowWidth=2048, VOILUTFunction=function))
    assert abs(seen[50] - 128) < 8
    assert seen[5] < 40 < 215 < seen[95]


def test_a_table_of_greys_is_followed() -> None:
    table = Dataset()
    table.LUTDescriptor = [4096, 0, 16]
    table.LUTData = list(range(65535, -1, -16))[:4096]  # turned round
    table["LUTDescriptor"].VR = table["LUTData"].VR = "US"
    seen = greys(film(VOILUTSequence=[table]))
    assert seen[0] > 245
    assert seen[-1] < 10


@pytest.mark.parametrize(
    ("centre", "width"), [(90000, 10), (1024, 0), (-5000, 1), (2048, -3), ("", "")]
)
def test_a_window_that_shows_nothing_does_not_hide_the_film(centre: Any, width: Any) -> None:
    seen = greys(film(WindowCenter=centre, WindowWidth=width))
    assert seen[-1] - seen[0] > 235


def test_pixels_that_are_not_square_are_made_so() -> None:
    """Else an angle of 50 degrees would be another one."""
    assert opened(film(ImagerPixelSpacing=["0.2", "0.1"])).size == (100, 120)


def test_a_large_film_is_made_smaller_with_its_shape_kept() -> None:
    kept = opened(film(slope(2500, 5000)))
    assert kept.size == (2400, 1200)
    assert kept.convert("L").getpixel((2399, 600)) > 245  # type: ignore[operator]


def test_a_film_may_be_heavier_than_a_photo() -> None:
    data = sent(film(slope(2600, 3000)))
    assert MAX_BYTES < len(data) < MAX_FILM_BYTES
    assert read(data).width_px == 2400


# -- refused


def refused(data: bytes | FileDataset) -> str:
    code, jpeg = here(data)
    assert (code != DONE, jpeg) == (True, b"")
    return ENDED.get(code, FILM_UNREADABLE)


def refused_by_the_process(data: bytes | FileDataset) -> str:
    with pytest.raises(PictureUnreadable) as answer:
        read(data)
    return str(answer.value)


def _packed_as(syntax: str) -> FileDataset:
    made = as_jpeg()
    made.file_meta.TransferSyntaxUID = UID(syntax)
    return made


def _without(name: str) -> FileDataset:
    made = film()
    delattr(made, name)
    return made


def _bomb() -> bytes:
    """A hundred kB that unpack to 100 MB."""
    deflated = film()
    deflated.file_meta.TransferSyntaxUID = DeflatedExplicitVRLittleEndian
    whole = sent(deflated)
    start = whole[: 132 + 12 + int.from_bytes(whole[140:144], "little")]
    packer = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    body = b"".join(packer.compress(bytes(10_000_000)) for _ in range(10)) + packer.flush()
    return start + body


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: _packed_as(JPEG2000Lossless), "packed in a way that is not read"),
        (lambda: _packed_as("1.2.840.10008.1.2.4.70"), "packed in a way that is not read"),
        (lambda: _packed_as("1.2.3"), "packed in a way that is not read"),
        (lambda: film(NumberOfFrames=2), "several pictures"),
        (lambda: film(PhotometricInterpretation="RGB"), "shades of grey"),
        (lambda: film(PhotometricInterpretation="PALETTE COLOR"), "shades of grey"),
        (lambda: film(Rows=65535, Columns=65535), "megapixels"),
        (lambda: film(Rows=30000, Columns=1200), "cannot be read"),  # and has no such pixels
        (lambda: film(Rows=0), "cannot be read"),
        (lambda: film(BitsAllocated=7), "cannot be read"),
        (lambda: film(BitsStored=60), "cannot be read"),
        (lambda: film(SamplesPerPixel=3), "cannot be read"),
        (lambda: film(PixelAspectRatio=["1", "900"]), "cannot be read"),
        (lambda: film(PixelAspectRatio=["1", "0"]), "cannot be read"),
        (lambda: _without("Rows"), "cannot be read"),
        (lambda: _without("PixelData"), "cannot be read"),
        (lambda: _without("PhotometricInterpretation"), "cannot be read"),
        (lambda: sent(film())[:-300], "cannot be read"),
        (lambda: sent(film())[:400], "cannot be read"),
        (lambda: sent(as_jpeg())[:-700], "cannot be read"),
        (lambda: bytes(128) + b"DICM", "DICOM file"),
        (lambda: bytes(128) + b"DICM" + b"\xff" * 5000, "DICOM file"),
        (lambda: bytes(128) + b"DICM\x02\x00\x10\x00UI\xff\xff" + b"1" * 70000, "DICOM file"),
    ],
)
def test_a_hostile_or_strange_file_is_refused_in_words(make: Any, words: str) -> None:
    assert words in refused(make())


def test_rows_of_another_kind_than_the_standards_are_refused() -> None:
    data = sent(film())
    at = data.index(b"\x28\x00\x10\x00US")
    assert "DICOM file" in refused(data[: at + 4] + b"LO" + data[at + 6 :])


def test_a_jpeg_inside_that_is_larger_than_the_file_says_is_refused() -> None:
    out = io.BytesIO()
    Image.new("L", (7000, 7000)).save(out, "JPEG")
    made = as_jpeg()
    made.PixelData = encapsulate([out.getvalue()])
    made["PixelData"].VR, made["PixelData"].is_undefined_length = "OB", True
    assert "JPEG from your viewer" in refused_by_the_process(made)


def test_the_process_refuses_what_unpacks_to_anything_and_says_it_in_words() -> None:
    assert "packed in a way that is not read" in refused_by_the_process(_bomb())


@pytest.mark.parametrize("seed", range(40))
def test_a_film_with_flipped_bytes_is_drawn_or_refused(seed: int) -> None:
    data = bytearray(sent(film() if seed % 2 else as_jpeg()))
    rng = np.random.default_rng(seed)
    for at in rng.integers(132, len(data) - 1, 30):
        data[at] = rng.integers(0, 256)
    code, jpeg = here(bytes(data))
    assert bool(jpeg) == (code == DONE)


def test_what_takes_too_much_memory_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo, "FILM_MEMORY_MB", 220)
    assert "too much memory" in refused_by_the_process(film(slope(2600, 3000)))


def test_a_film_over_its_own_limit_is_refused_without_being_read() -> None:
    class HeadOnly(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            assert size is not None
            assert 0 < size < 200
            return super().read(size)

    with pytest.raises(PictureUnreadable, match="12 MB"):
        photo_read(HeadOnly(b"\xff\xd8" + bytes(500)), size_bytes=MAX_BYTES + 1)
    with pytest.raises(PictureUnreadable, match="larger than"):
        photo_read(HeadOnly(b""), size_bytes=MAX_FILM_BYTES + 1)
