"""What the front door knows, where one stands in it, and what can be chosen there. Pure."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.meaning import Tell
from assistant.session.upcoming import Standing, Upcoming

Words = tuple[str, ...]  # of a command line, behind the program's name


class LeafName(StrEnum):
    """The leaves there are."""

    LANGUAGE = "language"
    NAME = "name"
    SOUND = "sound"
    EAR = "ear"
    PEDAL = "pedal"
    BEGIN = "begin"
    HALL = "hall"
    WARPS = "warps"
    WARP = "warp"
    JOBS = "jobs"
    NOTE = "note"
    MISTAKE = "mistake"
    HOW_OFF = "how off"
    HOW_MANY = "how many"
    EXAMPLES = "examples"
    FILES = "files"
    FILE = "file"
    DRAFTS = "drafts"
    DRAFT = "draft"
    DRAFT_EDGE = "draft edge"
    NEW = "new"
    NEW_EDGE = "new edge"
    THREADING = "threading"
    CLOTH = "cloth"
    VOICE = "voice"
    SET_UP = "set up"
    SETTINGS = "settings"
    SETTING = "setting"
    VALUE = "value"


STEPS = (LeafName.LANGUAGE, LeafName.SOUND, LeafName.EAR, LeafName.PEDAL, LeafName.BEGIN)


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where one stands; `first` while one is led through everything once."""

    name: LeafName
    of: Words = ()  # what was chosen or typed on the way
    first: bool = False


HALL = Leaf(LeafName.HALL)


class Doing(StrEnum):
    """What a command takes while it runs."""

    STAY = "stay"  # nothing: it is done in a moment, and what it prints is a line
    READ = "read"  # a while, and what it prints is to be read
    SIT = "sit"  # a screen of its own: a job at the loom
    TERMINAL = "terminal"  # the terminal


@dataclass(frozen=True, slots=True)
class Pick:
    """Something that can be chosen: the command lines it stands for, and the leaf it leads to once they are done."""

    label: Tell | str
    about: Tell | str = ""
    lines: tuple[Words, ...] = ()
    doing: Doing = Doing.STAY
    to: Leaf | None = None
    is_so: bool = False  # already


@dataclass(frozen=True, slots=True)
class Asks:
    """A text is to be typed; what it comes to is a pick, which Enter takes."""

    label: Tell
    becomes: Callable[[str], Pick]
    value: str = ""  # what stands there at first


@dataclass(frozen=True, slots=True)
class Opened:
    """What a leaf says and offers: picks, or a text to be typed."""

    title: Tell | str
    told: tuple[Tell | str, ...] = ()
    picks: tuple[Pick, ...] = ()
    asks: Asks | None = None


@dataclass(frozen=True, slots=True)
class KnownWarp:
    """A warp by the name of its file as it is typed; where that cannot be read `next` is None, and `why` says so."""

    name: str
    title: str
    next: Upcoming | None = None
    why: Tell | None = None
    groups: Words = ()  # their names, in order

    @property
    def latest(self) -> Standing | None:
        """The job begun last of those that can be read."""
        begun = [each for each in self.next.standings if each.told] if self.next else []
        return max(begun, key=lambda each: each.began, default=None)


@dataclass(frozen=True, slots=True)
class KnownSetting:
    """A setting that stays: its value as it is typed, and what it may be, where that is a choice."""

    value: str
    kept: bool = False
    weaver: str = ""  # whose it is, where it is kept for one
    among: Words = ()


@dataclass(frozen=True, slots=True)
class Known:
    """All that the leaves go by."""

    warps: tuple[KnownWarp, ...] = ()  # the one worked on last first
    warp: KnownWarp | None = None  # the one of the leaf, where it is of one
    examples: Words = ()
    sequences: Words = ()  # files in the folder one is in
    drafts: Words = ()
    settings: Mapping[str, KnownSetting] = field(default_factory=dict)
    languages: Mapping[str, str] = field(default_factory=dict)  # code -> its own name
    code: str = "en"  # of what is shown
    engine_voice: str = "en-us"  # the voice engine's name for that language
    sits: Words = ()  # behind each command line of a job at the loom
    pedal: bool = False  # one is taught
    trouble: Tell | None = None  # what could not be read

    def lines(self, pick: "Pick") -> tuple[Words, ...]:
        """What a pick stands for, here."""
        return tuple((*words, *self.sits) for words in pick.lines) if pick.doing is Doing.SIT else pick.lines

    @property
    def is_fresh(self) -> bool:
        """Whether nothing was ever done or set here."""
        return not self.warps and not self.trouble and not any(each.kept for each in self.settings.values())

    def value(self, name: str) -> str:
        """Of a setting."""
        return self.settings[name].value if name in self.settings else ""

    def setting(self, name: str, value: str) -> Words:
        """The command line that keeps it from now on, for the weaver whose it is."""
        weaver = self.settings[name].weaver if name in self.settings else ""
        return ("settings", name, value, *(("--for", weaver) if weaver else ()))

    def kept(self, name: str) -> bool:
        """Whether a setting is kept as yes."""
        return name in self.settings and self.settings[name].kept and self.value(name) == "yes"
