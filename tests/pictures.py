"""Pictures for tests, as a phone would make them."""

from io import BytesIO

from PIL import Image

MAKER, TURNED, GPS = 0x010F, 0x0112, 0x8825


def make_picture(
    width: int = 64, height: int = 48, *, kind: str = "JPEG", place: bool = False, turned: int = 1, shade: int = 120
) -> bytes:
    """An even picture; with `place` it says where it was taken and by what phone."""
    image, exif, out = Image.new("RGB", (width, height), (shade, 90, 60)), Image.Exif(), BytesIO()
    exif[TURNED] = turned
    if place:
        exif[MAKER] = "Invented phones"
        exif.get_ifd(GPS)[2] = (51.0, 30.0, 0.0)
    image.save(out, kind, exif=exif)
    return out.getvalue()
