"""Pictures as they come from phones: checked by their header first, then drawn anew without what the phone wrote in.

One at a time in a process, since a picture takes most memory while it is drawn.
"""

from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from threading import Lock

from PIL import Image, ImageOps

from jobs.core.site_values import BadOperation

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 25_000_000
LONGEST_EDGE_PX = 1600
THUMBNAIL_EDGE_PX = 320
PRINT_EDGE_PX = 1000
FORMATS = ("JPEG", "PNG", "WEBP")
NOT_A_PICTURE = "That is not a picture this page can read. Send JPEG, PNG or WEBP."
_drawing = Lock()


@dataclass(frozen=True)
class Picture:
    """A picture drawn anew as JPEG; `sha256` is that of the bytes as they came."""

    jpeg: bytes
    width_px: int
    height_px: int
    sha256: str


def read_picture(raw: bytes) -> Picture:
    """The picture in `raw`, upright, at most `LONGEST_EDGE_PX` long; BadOperation when it is none or too large."""
    if len(raw) > MOST_BYTES:
        raise BadOperation(f"The picture is larger than {MOST_BYTES // 1024 // 1024} MB.")
    image = _draw(raw, LONGEST_EDGE_PX)
    return Picture(_as_jpeg(image), image.width, image.height, sha256(raw).hexdigest())


def draw_thumbnail(jpeg: bytes) -> bytes:
    return _as_jpeg(_draw(jpeg, THUMBNAIL_EDGE_PX))


def draw_for_print(jpeg: bytes) -> bytes:
    """Small enough for many on paper, large enough to see a box by its tape; BadOperation when it is no picture."""
    return _as_jpeg(_draw(jpeg, PRINT_EDGE_PX))


def _draw(raw: bytes, longest_px: int) -> Image.Image:
    try:
        with _drawing, Image.open(BytesIO(raw), formats=FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise BadOperation(f"The picture has more than {MOST_PIXELS // 1_000_000} million pixels.")
            opened.draft("RGB", (longest_px, longest_px))
            upright = ImageOps.exif_transpose(opened).convert("RGB")
            upright.thumbnail((longest_px, longest_px))
            return upright
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as wrong:
        raise BadOperation(NOT_A_PICTURE) from wrong


def _as_jpeg(image: Image.Image) -> bytes:
    """Only the pixels: what the phone wrote about place, time and maker stays behind."""
    image.info = {}
    out = BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()
