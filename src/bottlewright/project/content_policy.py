"""What a page that is complete in itself may load and run: its own style and script, by their hashes."""

import base64
import hashlib
import re

__all__ = ["own_policy"]

_NOTHING = "'none'"


def own_policy(html: str, connect: str = "") -> str:
    """Return the content policy of a page that is complete in itself, and nothing else may run on it.

    Parameters
    ----------
    html
        With style and script in elements without attributes.
    connect
        Addresses that it may send to; none when left out.
    """
    def hashed(tag: str) -> str:
        own = re.findall(rf"<{tag}>(.*?)</{tag}>", html, re.DOTALL)
        return " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(one.encode()).digest()).decode()}'" for one in own)

    policy = f"default-src 'none'; style-src {hashed('style') or _NOTHING}"
    if script := hashed("script"):
        policy += f"; script-src {script}; connect-src {connect or _NOTHING}"
    return f"{policy}; base-uri 'none'; form-action 'none'"
