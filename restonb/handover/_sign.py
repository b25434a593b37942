"""A signature over the seal of an export with the person's own SSH key, checked with the same everyday tool."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

from restonb.errors import HandoverError

__all__ = ["sign", "signed_by"]

_PURPOSE = "restonb-handover"
_ARMOUR = re.compile(rb"-----BEGIN SSH SIGNATURE-----\n(?:[A-Za-z0-9+/=]{1,76}\n)+-----END SSH SIGNATURE-----\n")


def sign(seal_file: Path | str, key: Path | str) -> Path:
    """Sign a seal file (`Handover.seal_file`) with a private SSH key; answers the signature beside it (.sig).

    Checked without restonb by:
    ssh-keygen -Y verify -n restonb-handover -f ALLOWED -I NAME -s FILE.sig < FILE
    Raises HandoverError when the tool or the key is missing, or the key asks for a word that nobody can give.
    """
    seal_file, key = Path(seal_file), Path(key)
    if not key.is_file():
        raise HandoverError(f"there is no key {key.name!r}; write the path of your SSH key, or make one: ssh-keygen")
    made = seal_file.with_name(seal_file.name + ".sig")
    with tempfile.TemporaryDirectory(prefix=f".{made.name}.", dir=seal_file.parent) as work:
        copy = Path(shutil.copy(seal_file, work))
        _tool("sign", "-q", "-n", _PURPOSE, "-f", str(key), str(copy))
        os.replace(copy.with_name(made.name), made)  # whole, or as it was before
    return made


def signed_by(seal_file: Path | str, allowed: Path | str, who: str) -> bool:
    """Whether `who` signed it. `allowed` is a file of 'who key' lines, as ssh-keygen(1) calls ALLOWED SIGNERS."""
    seal_file = Path(seal_file)
    signature = seal_file.with_name(seal_file.name + ".sig")
    if not signature.is_file():
        raise HandoverError(f"{signature.name} is missing; put it beside {seal_file.name}")
    if not _ARMOUR.fullmatch(signature.read_bytes()):  # the tool would read past a changed line break
        return False
    found = _run("verify", "-n", _PURPOSE, "-f", str(allowed), "-I", who, "-s", str(signature), stdin=seal_file)
    return found.returncode == 0


def _tool(*words: str) -> None:
    found = _run(*words)
    if found.returncode:
        said = found.stderr.decode("utf-8", "replace").strip().splitlines()
        raise HandoverError(f"not signed: {said[-1] if said else 'ssh-keygen failed'}; check the key")


def _run(*words: str, stdin: Path | None = None) -> subprocess.CompletedProcess[bytes]:
    program = shutil.which("ssh-keygen")
    if program is None:
        raise HandoverError("ssh-keygen is missing; install OpenSSH to sign or to check a signature")
    given = stdin.read_bytes() if stdin else b""
    return subprocess.run([program, "-Y", *words], input=given, capture_output=True, timeout=60, check=False)
