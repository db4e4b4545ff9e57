"""Completion of the command line by a shell: a script, made from the very parsers that read the arguments."""

import re
from argparse import Action
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from drc.options import Parser

_MEANT = {
    "FILE": "@files",
    "PATH": "@files",
    "BOARD": "@files",
    "BEFORE": "@files",
    "AFTER": "@files",
    "PART": "@parts",
    "RULE": "@rules",
}
"""What a word that stands for a value is completed with; a list of words in braces completes itself."""

_LISTED = re.compile(r": ([a-z]+(?:, [a-z]+)*)")
"""Formats, as an option's help lists them."""


class Taken(NamedTuple):
    """An option (empty for what stands without one): its values, whether several follow, what it is for.

    Values are words, or one of `@files`, `@parts` and `@rules`; empty where only the user knows. Behind a
    word that ends in an equals sign stands a file; such words are what the help lists behind a colon.
    """

    option: str
    values: str
    many: bool
    takes: bool
    meaning: str


def script(shell: str, parsers: Mapping[str, tuple[str, Parser]]) -> str:
    """The script of a shell for commands: each one's meaning and its parser, by name."""
    tables = {name: list(_taken(parser)) for name, (_, parser) in parsers.items()}
    if shell == "fish":
        return _fish({name: meaning for name, (meaning, _) in parsers.items()}, tables)
    return _bash(tables, shell)


def _taken(parser: Parser) -> Iterator[Taken]:
    """What a parser takes, its options in the order of its help."""
    formatter = parser._get_formatter()
    for action in parser._actions:
        meaning = formatter._expand_help(action) if action.help else ""
        many = action.nargs in ("*", "+")
        for option in action.option_strings or [""]:
            yield Taken(option, _values(action), many, action.nargs != 0, meaning)


def _values(action: Action) -> str:
    """What completes the value of an option or argument."""
    shown = action.metavar if isinstance(action.metavar, str) else ""
    if shown.startswith("{"):
        return shown.strip("{}").replace(",", " ")
    if shown == "FORMAT=FILE":
        listed = _LISTED.search(action.help or "")
        return " ".join(f"{form}=" for form in listed[1].split(", ")) if listed else ""
    return _MEANT.get(shown, "")


def _bash(tables: Mapping[str, list[Taken]], shell: str) -> str:
    """The script for bash; zsh reads it through its own support of such scripts."""
    options: list[str] = []
    values: list[str] = []
    for name, table in tables.items():
        alone = next((each.values for each in table if not each.option), "")
        listed = " ".join(each.option for each in table if each.option)
        options.append(f"        {name}) options='{listed}' takes='{alone}' ;;")
        for each in table:
            if each.option and each.takes:
                many, known = "yes" if each.many else "", each.values
                if shell == "zsh":  # would end a lone `json=` with a blank: a file may be `-` as well
                    known = re.sub(r"(\S+=)", r"\1 \1-", known)
                values.append(f"            '{name} {each.option}') values='{known}' many='{many}' ;;")
    start = "autoload -Uz bashcompinit && bashcompinit\n" if shell == "zsh" else ""
    text = _BASH.replace("COMMANDS", " ".join(tables))
    return start + text.replace("OPTIONS", "\n".join(options)).replace("VALUES", "\n".join(values))


_BASH = r"""_tickproof() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]}
    local option='' options='' takes='' values='none' many='' head='' at=$COMP_CWORD IFS=$' \t\n'
    COMPREPLY=()
    if [ "$word" = '=' ]; then before='=' word=''; fi
    case $command in
OPTIONS
    esac
    if [ "$COMP_CWORD" -lt 2 ]; then
        takes='COMMANDS --help --version'
    elif [ "${word#-}" != "$word" ]; then
        takes=$options
    else
        while [ "$at" -gt 2 ] && [ -z "$option" ]; do
            at=$((at - 1))
            case ${COMP_WORDS[at]} in -*) option=${COMP_WORDS[at]} ;; esac
        done
        case "$command $option" in
VALUES
        esac
        if [ "$before" = '=' ]; then at=$((at + 1)); fi
        if [ "$values" != none ]; then
            if [ -n "$many" ] || [ "$((COMP_CWORD - at))" -le 1 ]; then takes=$values; fi
        fi
    fi
    case $takes in
        *=*)
            if [ "$before" = '=' ]; then
                takes=@files
            elif [ "${word#*=}" != "$word" ]; then
                takes=@files head=${word%%=*}= word=${word#*=}
            else
                compopt -o nospace 2>/dev/null
            fi ;;
        @parts | @rules)
            takes=$("${COMP_WORDS[0]}" "${takes#@}" 2>/dev/null | sed -n 's/^\([^ ][^ ]*\)  .*/\1/p') ;;
    esac
    IFS=$'\n'
    if [ -n "$head" ]; then
        for at in "$word"*; do
            if [ -e "$at" ]; then COMPREPLY+=("$head$at"); fi
        done
    elif [ "$takes" = @files ]; then
        compopt -o filenames 2>/dev/null
        COMPREPLY=($(compgen -f -- "$word"))
    else
        IFS=$' \t\n'
        COMPREPLY=($(compgen -W "$takes" -- "$word"))
    fi
}
complete -F _tickproof tickproof
"""


def _fish(meanings: Mapping[str, str], tables: Mapping[str, list[Taken]]) -> str:
    """The script for fish."""
    lines = ["complete -c tickproof -f"]
    for name, table in tables.items():
        lines.append(f"complete -c tickproof -n __fish_use_subcommand -a {name} -d {_quoted(meanings[name])}")
        head = f"complete -c tickproof -n '__fish_seen_subcommand_from {name}'"
        for each in table:
            long = f" {'-l' if each.option.startswith('--') else '-s'} {each.option.lstrip('-')}"
            what = f"{head}{long if each.option else ''}{_fish_values(each)}"
            lines.append(f"{what} -d {_quoted(each.meaning)}" if each.option else what)
    return "\n".join(lines) + "\n"


def _fish_values(taken: Taken) -> str:
    """The end of a line that says what completes a value."""
    if not taken.takes:
        return ""
    if taken.values == "@files":
        return " -r -F" if taken.option else " -F"
    value = {"@parts": _NAMES % "parts", "@rules": _NAMES % "rules"}.get(taken.values)
    words = taken.values if value is None else value
    needed = " -x" if taken.option else ""
    return f"{needed} -a {_quoted(words)}" if words else needed


_NAMES = r"(tickproof %s 2>/dev/null | string match -r '^\S+(?=  )')"


def _quoted(text: str) -> str:
    """Text as one word of fish."""
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"
