"""Results kept between runs: what was measured by the same code, in the same setting, is not measured anew."""

import pickle
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from parts.ears import BENCH, CHECKOUT
from parts.scoring import Results


def kept(folder: Path | None, setting: str, work: Callable[[], Results]) -> Results:
    """The results of some work; `setting`: all that they depend on besides the code of ears and benchmark."""
    if folder is None:
        return work()
    file = folder / f"{sha256(f'{_code()} {setting}'.encode()).hexdigest()[:32]}.pickle"
    if file.is_file():
        results: Results = pickle.loads(file.read_bytes())
        return results
    results = work()
    folder.mkdir(parents=True, exist_ok=True)
    file.write_bytes(pickle.dumps(results))
    return results


def _code() -> str:
    """Of everything that can change a result; how tables look cannot."""
    files = [*(CHECKOUT / "assistant").rglob("*"), *(BENCH / "parts").glob("*.py")]
    digest = sha256()
    for file in sorted(each for each in files if each.is_file() and each.suffix != ".pyc" and each.name != "tables.py"):
        digest.update(file.read_bytes())
    return digest.hexdigest()
