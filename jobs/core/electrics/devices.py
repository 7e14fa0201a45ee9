"""A protective device as people write it, "RCBO type A, B curve", and what had to be taken for granted."""

import re
from dataclasses import dataclass
from decimal import Decimal

from jobs.core.electrics.circuit import Curve, Device, RcdType

USUAL_RCD_MILLIAMPS = 30
_CURVE = re.compile(r"\b([BC])(?:[ -]?curve|\d+)\b|\bcurve ([BC])\b|\btype ([BC])\b", re.IGNORECASE)
_RCD_TYPE = re.compile(r"\btype (AC|A|F)\b", re.IGNORECASE)
_MILLIAMPS = re.compile(r"\b(\d{2,3}) ?mA\b", re.IGNORECASE)
_HAS_RCD = re.compile(r"\brcbo|\brcd", re.IGNORECASE)
_DELAYED = re.compile(r"\btype S\b|delay", re.IGNORECASE)


@dataclass(frozen=True)
class DeviceRead:
    """`assumed`: a sentence for each thing the words do not say."""

    device: Device
    assumed: tuple[str, ...] = ()


def read_device(words: str, rating_amps: Decimal | None) -> DeviceRead | None:
    """The device of a circuit; None without a rating, as nothing can be judged then."""
    if rating_amps is None or rating_amps <= 0:
        return None
    curve, milliamps = _curve(words), _milliamps(words)
    rcd_type, is_delayed = _rcd_type(words) if milliamps else None, bool(_DELAYED.search(words))
    device = Device(curve or Curve.B, rating_amps, milliamps, rcd_type, is_delayed)
    assumed = [] if curve else ["Curve not written: type B is assumed."]
    if milliamps and not _MILLIAMPS.search(words):
        assumed.append(f"Residual current not written: {USUAL_RCD_MILLIAMPS} mA is assumed.")
    return DeviceRead(device, tuple(assumed))


def _curve(words: str) -> Curve | None:
    """A curve that is called one counts before a "type", which may be the RCD's."""
    found = [next(filter(None, match.groups())) for match in _CURVE.finditer(words)]
    called = [letter for letter in found if re.search(rf"\b{letter}(?:[ -]?curve|\d)|\bcurve {letter}\b", words, re.IGNORECASE)]
    letters = called or found
    return Curve(letters[0].upper()) if letters else None


def _milliamps(words: str) -> int | None:
    """Only what has an RCD, or says its residual current, has one; 0 counts as none."""
    written = _MILLIAMPS.search(words)
    if written:
        return int(written.group(1)) or None
    return USUAL_RCD_MILLIAMPS if _HAS_RCD.search(words) else None


def _rcd_type(words: str) -> RcdType | None:
    found = _RCD_TYPE.search(words)
    return RcdType(found.group(1).upper()) if found else None
