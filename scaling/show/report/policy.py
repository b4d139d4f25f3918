"""The content-security policy of a page: nothing from outside, and of what is inside only what its hash names.

W3C, Content Security Policy Level 3, 'hash-source', from memory: the hash is that of the element's text.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence


def policy(styles: Sequence[str], scripts: Sequence[str]) -> str:
    """Return the policy of a page that holds these texts between its style and script tags, and images as data."""
    parts = ["default-src 'none'", "img-src data:", f"style-src {_sources(styles)}", f"script-src {_sources(scripts)}"]
    return "; ".join([*parts, "base-uri 'none'", "form-action 'none'"])


def _sources(texts: Sequence[str]) -> str:
    return " ".join(f"'sha256-{_digest(text)}'" for text in texts) or "'none'"


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
