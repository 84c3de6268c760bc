"""Options that name the crew's devices and the page, in; what a crew works with, out; shell."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

import typer
from pydantic import JsonValue

from calllog import system
from calllog.commands.knowing import NamedVoices
from calllog.errors import ConfigError
from calllog.phone.place import LOOPBACK, PORT, Place
from calllog.readback import Verbosity
from calllog.resources import DEFAULT_GRAMMAR
from calllog.session import parse_roles
from calllog.values import Role

MicrophoneOption = Annotated[
    tuple[str, ...],
    typer.Option(
        "--microphone", help="Name of a microphone, or a part of it; twice for two: head, rear."
    ),
]
OutputOption = Annotated[
    str | None,
    typer.Option("--output", help='Name of the loudspeaker, or a part of it; "none" for silence.'),
]
VolumeOption = Annotated[
    float, typer.Option("--volume", min=0.0, max=1.0, help="Volume of the read-back, 0 to 1.")
]
VoiceOption = Annotated[
    str | None,
    typer.Option(
        "--voice",
        help="Voice of the read-back: built-in, piper, or a Piper voice's path; left out, the"
        " best.",
    ),
]
WORN = (Role.HEAD, Role.REAR)


@dataclass(frozen=True, slots=True)
class DeviceOptions:
    """The crew's devices as they are asked for; what is left out is as the job had it last."""

    microphones: MicrophoneOption = ()
    keypads: Annotated[
        tuple[str, ...],
        typer.Option(
            "--keypad",
            help="A keypad of one person, such as rear=NAME; give it again for the other.",
        ),
    ] = ()
    typist: Annotated[
        Role,
        typer.Option("--keys", help="Who types in this terminal: head, rear, or unsaid for both."),
    ] = Role.UNSAID
    is_keys_only: Annotated[
        bool, typer.Option("--keys-only", help="No microphone: everything is typed.")
    ] = False
    output: OutputOption = None
    volume: VolumeOption = 1.0
    voice: VoiceOption = None
    verbosity: Annotated[
        Verbosity,
        typer.Option("--say", help="How much is read back in words; tones always sound."),
    ] = Verbosity.ALL
    is_headset: Annotated[
        bool,
        typer.Option(
            "--headset",
            help="Read-back in one earphone only, the other ear open: keep listening while it"
            " sounds.",
        ),
    ] = False
    is_blind: Annotated[
        bool,
        typer.Option(
            "--blind-check",
            help="Tones alone, and no number shown, until first and check are both in.",
        ),
    ] = False
    has_phones: Annotated[
        bool,
        typer.Option(
            "--crew-phones",
            help="Head's and rear's phones are their microphones, ears and keys; with one"
            " --microphone and --channels, the other one's is. Goes with --page-host.",
        ),
    ] = False


@dataclass(frozen=True, slots=True)
class PageOptions:
    """Whether, where and by what certificate the chief's page is served."""

    is_wanted: Annotated[
        bool,
        typer.Option(
            "--page", help="Serve the chief's page; to this computer alone without --page-host."
        ),
    ] = False
    host: Annotated[
        str | None,
        typer.Option(
            "--page-host",
            help="Serve it at this address of the computer, to phones on that network.",
        ),
    ] = None
    port: Annotated[
        int, typer.Option("--page-port", min=1, max=65535, help="Port of the chief's page.")
    ] = PORT
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--page-certificate", help="Certificate of the page, PEM: serves it over TLS."
        ),
    ] = None
    key: Annotated[
        Path | None, typer.Option("--page-key", help="Key of that certificate, PEM.")
    ] = None

    def place(self) -> Place | None:
        """Tell where the chief's page is to be served; None for nowhere.

        Raises:
            ConfigError: a certificate and a key are not given together, or this system cannot
                serve.
        """
        if (self.certificate is None) != (self.key is None):
            raise ConfigError(
                "a certificate goes with its key",
                where="--page-certificate",
                next_step="give both, or neither",
            )
        if not (self.is_wanted or self.host or self.certificate):
            return None
        if not system.SYSTEM.hands_down:
            raise ConfigError(
                f"{system.SYSTEM.name} cannot serve the chief's page or the crew's phones",
                where="--page",
                next_step="use Linux or macOS for that; microphones and keypad work here",
            )
        return Place(self.host or LOOPBACK, self.port, self.certificate, self.key)


@dataclass(frozen=True, slots=True)
class Kit:
    """By what a crew is heard, types and is told; what was left out is as the job had it last."""

    devices: DeviceOptions = DeviceOptions()
    roles: tuple[Role, ...] | None = None
    """Who wears each channel's microphone; None where nobody said so."""
    keeps_clips: bool = True
    keeps_talk: bool = False
    grammar: str = DEFAULT_GRAMMAR
    """Name of what is said."""
    spoken: Mapping[Role, tuple[str, ...]] = field(default_factory=dict)
    """By which grammars a person calls who does not call by that one."""
    page: Place | None = None
    """Where the chief's page is served; None for nowhere."""
    voices: NamedVoices | None = None
    """Whose voices the crew's are; None where what listens knows none."""

    @property
    def phones(self) -> tuple[Role, ...]:
        """Whose phones are their microphones."""
        if not self.devices.has_phones:
            return ()
        worn = (self.roles or ()) if self.devices.microphones else ()
        return tuple(role for role in WORN if role not in worn)

    def wearers(self, before: dict[str, JsonValue]) -> tuple[Role, ...]:
        """Tell who wears each channel's microphone; without a word one serves both."""
        if self.devices.is_keys_only:
            return ()
        if self.devices.has_phones:
            return WORN
        if self.roles is not None:
            return self.roles
        if len(self.devices.microphones) > 1:
            return WORN
        named = None if before.get("crew_phones") else before.get("roles")
        if not self.devices.microphones and isinstance(named, list) and named:
            return parse_roles([str(each) for each in named])
        return (Role.UNSAID,)

    def names(self, before: dict[str, JsonValue]) -> tuple[str, ...]:
        """Tell the microphones' names; none for the system's default one."""
        known = before.get("microphones")
        named = self.devices.microphones
        if not named and isinstance(known, list) and not self.devices.is_keys_only:
            return tuple(str(each) for each in known)
        return named

    def require_phones(self) -> None:
        """Pass if the crew's phones can be used as they were asked for.

        Raises:
            ConfigError: they cannot.
        """
        microphones = self.devices.microphones
        if not self.devices.has_phones:
            return
        if self.devices.is_keys_only:
            raise ConfigError(
                "phones that are microphones, and no microphone",
                where="--crew-phones, --keys-only",
                next_step="leave one of them out",
            )
        if len(microphones) > 1 or (microphones and len(self.phones) != 1):
            raise ConfigError(
                "it is not clear who has a phone and who a microphone",
                where="--crew-phones, --microphone",
                next_step="name one microphone and whose it is: --microphone NAME --channels head",
            )
        if self.page is None:
            raise ConfigError(
                "the crew's phones need an address to reach",
                where="--crew-phones",
                next_step="name the logger's address on the crew's own network:"
                " --page-host ADDRESS",
            )
