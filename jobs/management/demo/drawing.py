"""Photos of the demo, drawn by code: a wall or a ceiling before it is closed, with cables, boxes and a tape."""

from io import BytesIO
from random import Random

from PIL import Image, ImageDraw

SIZE = WIDTH, HEIGHT = 640, 480
BRICK, MORTAR, STUD, VOID = (168, 98, 72), (196, 182, 164), (205, 170, 120), (92, 76, 64)
GREY, BOX, TAPE, INK = (150, 152, 154), (70, 72, 74), (238, 204, 60), (30, 30, 30)
STEP = 40


def draw_photo(surface: str, seed: str) -> bytes:
    """A JPEG; the same seed draws the same picture."""
    dice = Random(seed)
    image = Image.new("RGB", SIZE, VOID)
    pen = ImageDraw.Draw(image)
    if surface == "ceiling":
        _joists(pen)
        _cables_across(pen, dice)
    else:
        _bricks(pen, dice)
        _drops(pen, dice)
    _tape(pen)
    out = BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def _bricks(pen: ImageDraw.ImageDraw, dice: Random) -> None:
    pen.rectangle((0, 0, *SIZE), fill=MORTAR)
    for row in range(0, HEIGHT, STEP):
        for left in range(-STEP * (row // STEP % 2), WIDTH, 2 * STEP):
            shade = dice.randint(-14, 14)
            pen.rectangle((left, row, left + 2 * STEP - 5, row + STEP - 5), fill=tuple(part + shade for part in BRICK))


def _joists(pen: ImageDraw.ImageDraw) -> None:
    for left in range(20, WIDTH, 3 * STEP):
        pen.rectangle((left, 0, left + STEP, HEIGHT), fill=STUD)


def _drops(pen: ImageDraw.ImageDraw, dice: Random) -> None:
    """Straight down from the top to each box, as in the zones of a wall."""
    for left in sorted(dice.sample(range(80, WIDTH - 80, 60), dice.randint(2, 4))):
        bottom = dice.choice((190, 330))
        pen.line((left, 0, left, bottom), fill=GREY, width=9)
        pen.rectangle((left - 26, bottom, left + 26, bottom + 40), fill=BOX, outline=INK, width=3)


def _cables_across(pen: ImageDraw.ImageDraw, dice: Random) -> None:
    for top in sorted(dice.sample(range(80, HEIGHT - 120, 50), 3)):
        pen.line((0, top, WIDTH, top), fill=GREY, width=8)
    across, down = dice.randint(180, 460), dice.randint(120, 300)
    pen.arc((across - 40, down - 40, across + 40, down + 40), 30, 320, fill=GREY, width=8)


def _tape(pen: ImageDraw.ImageDraw) -> None:
    top = HEIGHT - 48
    pen.rectangle((0, top, WIDTH, top + 26), fill=TAPE)
    for left in range(0, WIDTH, 16):
        pen.line((left, top, left, top + (14 if left % 80 == 0 else 7)), fill=INK, width=2)
