"""Signing, by the person's own configuration only: a repository could name any program as the signer."""

from __future__ import annotations

from asleft.store.place import Place

_PROGRAMS = {
    "gpg.format": "openpgp",
    "gpg.program": "gpg",
    "gpg.openpgp.program": "gpg",
    "gpg.x509.program": "gpgsm",
    "gpg.ssh.program": "ssh-keygen",
    "gpg.ssh.defaultkeycommand": "false",
}
_YES = ("true", "yes", "on", "1", "")


def signing(place: Place) -> tuple[list[str], list[str]]:
    """Settings and arguments for commit-tree: `-S` where the person's git signs commits."""
    own = _own_settings(place)
    if own.get("commit.gpgsign", "false").casefold() not in _YES:
        return [], []
    programs = dict(_PROGRAMS)
    programs["gpg.openpgp.program"] = own.get("gpg.program", programs["gpg.program"])
    programs.update({k: v for k, v in own.items() if k != "commit.gpgsign"})
    return [f"{key}={value}" for key, value in programs.items()], ["-S"]


def _own_settings(place: Place) -> dict[str, str]:
    wanted = r"^(commit\.gpgsign|user\.signingkey|gpg\..*)$"
    done = place.git.run(place.top, "config", "--show-scope", "-z", "--get-regexp", wanted, ok=(0, 1))
    fields = done.out.decode("utf-8", "surrogateescape").split("\0")
    own = {}
    for scope, setting in zip(fields[::2], fields[1::2], strict=False):
        if scope in ("system", "global", "command"):
            key, _, value = setting.partition("\n")
            own[key] = value
    return own
