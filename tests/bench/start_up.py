"""From typing `heddlecall thread` to the first sound of the first call, through a real cable; clips cached or not.

The start with nothing cached is the measure beside it. It needs pulseaudio, pulseaudio-utils and libportaudio2.

    python tests/bench/start_up.py
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from cable import MISSING, in_a_terminal, listening, sound_server
from parts.options import asking
from waiting import wait

from assistant.warp.examples import find


def first_sound(env: dict[str, str], *options: str) -> float:
    """Seconds until the helper is heard."""
    with listening(env) as ears:
        time.sleep(1)
        before, began = ears.loud_s, time.monotonic()
        with in_a_terminal(env, "thread", str(find("hearth-runner")), *options):
            assert wait(lambda: ears.loud_s > before, 30), "nothing was heard"
            return time.monotonic() - began


def main() -> None:
    parser = asking(__doc__)
    parser.parse_args()
    if MISSING:
        parser.error(f"without {', '.join(MISSING)}; apt install pulseaudio pulseaudio-utils")
    with tempfile.TemporaryDirectory() as folder, sound_server(Path(folder)) as env:
        env["XDG_CACHE_HOME"] = str(Path(folder, "cache"))
        first = first_sound(env)
        cached = min(first_sound(env) for _ in range(3))
        deaf = min(first_sound(env, "--deaf") for _ in range(3))
    print(f"nothing cached            {first:5.2f} s")
    print(f"clips cached              {cached:5.2f} s   (target: under 3 s)")
    print(f"clips cached, no ear      {deaf:5.2f} s")
    print(f"ratio, not cached/cached  {first / cached:5.2f}")


if __name__ == "__main__":
    main()
