"""Typesetting a handover pack. What people wrote is handed over as data and never read as markup."""

import json
import tempfile
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path

from jobs.core.handover import Pack

SHEET = Path(__file__).with_name("handover.typ")


def typeset_pack(pack: Pack, pictures: Mapping[int, bytes], *, made_words: str) -> bytes:
    """The pack as PDF. `pictures`: JPEG by number; one that is not there is said to be missing in its place."""
    import typst  # large: only what typesets pays for it

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / SHEET.name).write_bytes(SHEET.read_bytes())
        (folder / "pack.json").write_text(_said(pack, pictures, made_words), encoding="utf-8")
        for number, jpeg in pictures.items():
            (folder / f"{number}.jpg").write_bytes(jpeg)
        sheet = str(folder / SHEET.name)
        try:
            return typst.compile(sheet, root=name, format="pdf", pdf_standards="ua-1")
        except typst.TypstError:
            # That standard refuses letters no font here has. The PDF stays tagged; such a letter shows as a box.
            return typst.compile(sheet, root=name, format="pdf")


def _said(pack: Pack, pictures: Mapping[int, bytes], made_words: str) -> str:
    said = {
        "title": pack.title, "firm": pack.firm, "lines": pack.lines, "made": made_words, "there": list(map(str, pictures)),
        "sections": [
            {"title": section.part.label, "blocks": [asdict(block) for block in section.blocks]} for section in pack.sections
        ],
    }
    return _printable(json.dumps(said, ensure_ascii=False))


def _printable(text: str) -> str:
    """Without what has no shape and upsets readers of PDF; JSON has escaped the usual control characters already."""
    return "".join(one for one in text if one.isprintable() or one == " " or ord(one) > 0x2000)
