"""What shells complete."""

from dataclasses import dataclass
from enum import StrEnum

from assistant.cli.arguments import WithLog
from assistant.cli.command import Command, When, argument
from assistant.output import write


class Shell(StrEnum):
    """Those for which there is a script."""

    BASH = "bash"
    ZSH = "zsh"
    FISH = "fish"


@dataclass(frozen=True, kw_only=True)
class CompletionOptions(WithLog):
    """For which shell."""

    shell: Shell = argument(
        metavar="SHELL",
        type=Shell,
        choices=list(Shell),
        help='bash, zsh or fish. Bash: add eval "$(heddlecall completion bash)" to ~/.bashrc; zsh: the same with zsh, '
        "after compinit, to ~/.zshrc; fish: heddlecall completion fish > ~/.config/fish/completions/heddlecall.fish",
    )


def _completion(options: CompletionOptions) -> None:
    from argcomplete.shell_integration import shellcode

    write(shellcode(["heddlecall"], shell=options.shell.value))


COMMANDS = (
    Command(
        "completion",
        "print what has a shell complete commands, options and names when you press tab",
        CompletionOptions,
        _completion,
        When.SETTING_UP,
    ),
)
