import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image

from jobs.actions.pictures import MOST_BYTES, draw_thumbnail, read_picture
from jobs.core.site_values import BadOperation
from tests.pictures import make_picture


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(BytesIO(jpeg))


def test_picture_loses_place_and_maker_when_drawn_anew():
    # OWASP ASVS 5.0, 14.2.8; Exif 2.3 tags 0x8825 (GPS) and 0x010F (maker)
    raw = make_picture(place=True)
    assert 0x8825 in opened(raw).getexif()

    picture = read_picture(raw)

    assert dict(opened(picture.jpeg).getexif()) == {}
    assert b"Invented" not in picture.jpeg


def test_picture_stands_upright_when_the_phone_lay_on_its_side():
    # Exif 2.3, tag 0x0112: 6 means turned by a quarter
    picture = read_picture(make_picture(40, 20, turned=6))

    assert (picture.width_px, picture.height_px) == (20, 40)


def test_picture_is_at_most_1600_long():
    picture = read_picture(make_picture(3200, 800))

    assert (picture.width_px, picture.height_px) == (1600, 400)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_picture_becomes_a_jpeg_whatever_it_came_as(kind):
    assert opened(read_picture(make_picture(kind=kind)).jpeg).format == "JPEG"


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few hundred bytes whose header asks for very many pixels (PNG, 11.2.2)."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "raw",
    [
        b"not a picture",
        b"<html><script>alert(1)</script>",
        b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
        make_picture()[:200],
        bomb(5001, 5000),
        bomb(20000, 20000),
        b"x" * (MOST_BYTES + 1),
    ],
    ids=["text", "page", "gif", "cut short", "pixels", "bomb", "bytes"],
)
def test_bytes_are_refused_when_they_are_no_picture_of_sensible_size(raw):
    # OWASP ASVS 5.0, 5.2.1, 5.2.2, 5.2.6
    with pytest.raises(BadOperation):
        read_picture(raw)


def test_thumbnail_is_small():
    assert max(opened(draw_thumbnail(make_picture(1600, 1200))).size) == 320
