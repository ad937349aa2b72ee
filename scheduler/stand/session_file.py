"""The page as one file, which works from a disk without a stand, and gives out its record."""

import base64
import hashlib
import re
from typing import NamedTuple

from scheduler.ledger.events import EventIds
from scheduler.practice.practice import Practice
from scheduler.stand.assets import MODULES, asset
from scheduler.stand.session import StandSession
from scheduler.stand.session_page import session_page

IMPORT = re.compile(r'^import \{[^}]*\} from "\./\w+\.js";\n', re.MULTILINE)
EXPORT = re.compile(r"^export (?=(?:const|function|class|async) )", re.MULTILINE)


class Bundle(NamedTuple):
    """What a page brings along itself: its script, its stylesheet, and what alone may run."""

    script: str
    style: str
    policy: str


def bundle() -> Bundle:
    """The modules as one, each after those that it imports: a file can't import another."""
    joined = "".join(EXPORT.sub("", IMPORT.sub("", asset(name))) for name in MODULES)
    script, style = f"\n{joined}", asset("stand.css")
    policy = (
        f"default-src 'none'; script-src {_hash_of(script)}; style-src {_hash_of(style)}; "
        "img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    return Bundle(script, style, policy)


def _hash_of(text: str) -> str:
    """What a content security policy names an inline script by (W3C, CSP Level 3, 6.7.2)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def session_file(practice: Practice, budget_seconds: float | None, command: str) -> str:
    """The page of today's session as one file.

    Raises:
        LedgerError: The ledger can't be read or written.
    """
    session = StandSession(practice, budget_seconds, command)
    # What is played on it is told apart from what other files of the same player hold.
    return session_page(session, bundle(), {"session": EventIds(practice.now.utc_ms).next()})
