"""Paper: a handover pack as a tagged PDF (PDF/UA-1) whose text can be read aloud, searched and copied."""

from jobs.pdf.handover import typeset_pack

__all__ = ["typeset_pack"]
