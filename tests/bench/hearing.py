"""How well words are heard: taught ones, untaught ones by the built-in ear, and both beside a plain grammar recogniser.

Every ear hears the same sound in the same run. A weaver's voice says twelve commands, and where a number was asked for
those from 1 to 30, or from 1 to 8, as on a loom with so many shafts; in a stream, clean and in noise; and what is said
untaught for next, repeat and back. The voices were not used in tuning, unless asked. The taught ear was taught by three
examples of each word in a quiet room. SNR: the mean power of a word's frames within 30 dB of its loudest, at the
weaver's usual level, to that of the noise.

Nothing is to be heard in what others say, without end and at the weaver's own level (others.py): prose, the King James
Version (public domain, of Debian's bible-kjv-text) read by synthetic voices; remarks of our own, some of them made to
sound like commands; people, of Debian's pocketsphinx-testdata; and the prompts of its asterisk-core-sounds in five
languages (CC BY-SA 3.0, CC BY 3.0), said one by one, but for those with a word or figure that is listened for.

Vosk hears the one voice at hand that says Korean, espeak-ng's, a poor one, and our Korean remarks by the same voice.
The curve shows what each threshold leaves of what was heard at the loosest. For taught words that is how unlike a word
may be, and not how much nearer it has to be than any other.

    python tests/bench/hearing.py --voices rms --repetitions 1 --snr 10 --hours 0.034 --ears taught built-in
"""

from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from multiprocessing import get_context

import numpy as np
from parts import ears, others
from parts.ears import EARS, IN_KOREAN, TAUGHT, THRESHOLDS, cost, taught_by
from parts.measuring import CLEAN, WORDS, Job, Report, measure, stream, words_of
from parts.options import asking, between, count
from parts.spoken import HELD_OUT, KOREAN_VOICE, TUNING, voice
from parts.tables import show, show_curve
from parts.wanted import Samples

CURVE_SNR = 10  # dB


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument(
        "--hours", type=between(0, 1000), default=0.2, help="of each kind of talk, for each weaver (%(default)s)"
    )
    parser.add_argument("--repetitions", type=count, default=2, help="of each word (%(default)s)")
    parser.add_argument("--seed", type=int, default=0, help="another one makes other sound (%(default)s)")
    parser.add_argument("--tuning", action="store_true", help="with the voices used in tuning instead")
    parser.add_argument("--snr", nargs="*", type=int, default=(20, 15, 10, 5), help="noise, in dB: %(default)s")
    every = (*TUNING, *HELD_OUT, KOREAN_VOICE)
    parser.add_argument("--voices", nargs="+", choices=every, help="only these weavers; ko says Korean")
    parser.add_argument("--ears", nargs="+", default=EARS, choices=EARS, help="only these")
    parser.add_argument("--markdown", action="store_true", help="print the tables in Markdown")
    parser.add_argument("--curve", action="store_true", help="by threshold, clean and at 10 dB")
    options = parser.parse_args()
    for line in filter(None, [*others.missing(), ears.missing()]):
        print(line, flush=True)
    known = (*(TUNING if options.tuning else HELD_OUT), KOREAN_VOICE)
    snrs = (CURVE_SNR,) if options.curve else tuple(options.snr)
    chosen = [ear for ear in options.ears if not options.curve or ear in THRESHOLDS]
    weavers = {
        name: has
        for name in known
        if name in (options.voices or known) and voice(name) and (has := _ears_of(name, chosen))
    }
    if not weavers:
        parser.error("none of these weavers is there, or none of these ears hears them")
    with ProcessPoolExecutor(2, mp_context=get_context("spawn"), max_tasks_per_child=1) as pool:
        learners = [name for name, has in weavers.items() if "taught" in has]
        taught = dict(zip(learners, pool.map(taught_by, learners), strict=True))
        how = (options.hours, options.repetitions, options.seed, snrs, options.curve)
        jobs = [
            Job(name, part, has, taught.get(name), *how)
            for name, has in weavers.items()
            for part in (WORDS, *others.kinds(name))
        ]
        reports: list[Report] = []
        for job, heard in zip(jobs, pool.map(measure, jobs), strict=True):
            reports += heard
            print(f"{job.voice}, {job.part}: heard", flush=True)  # a run may take hours
        if options.curve:
            show_curve(reports, options.markdown)
            return
        firsts = {ear: name for name, has in reversed(weavers.items()) for ear in has}
        costs = {
            ear: pool.submit(cost, ear, taught.get(firsts[ear]), _to_be_heard(firsts[ear])).result()
            for ear in EARS
            if ear in firsts
        }
    show(reports, costs, options.markdown)


def _ears_of(name: str, chosen: list[str]) -> tuple[str, ...]:
    """Those of the chosen that know the weaver's language and are installed."""
    korean = name == KOREAN_VOICE
    return () if korean and ears.missing() else tuple(ear for ear in chosen if (ear in IN_KOREAN) == korean)


def _to_be_heard(name: str) -> dict[str, Samples]:
    """By mode the weaver's words and two minutes of remarks."""
    talk = np.concatenate([piece for _, piece in islice(others.said_remarks(name, 1, np.random.default_rng(0)), 1)])
    words = words_of(name)
    sounds = {mode: stream(name, words[mode], CLEAN, TAUGHT)[0] for mode in others.TALKED_OVER}
    return {mode: np.concatenate([sound, talk]) for mode, sound in sounds.items()}


if __name__ == "__main__":
    main()
