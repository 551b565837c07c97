"""Executable readings of standards, one scan at a time, written without a look at the parts.

A scan is a tick; spans are in scans. Sources stand beside each; "from memory" says that the text
was recalled, not read, while these were written.
"""

from dataclasses import dataclass
from typing import Protocol


class Block(Protocol):
    """A function block with one or two inputs and one output."""

    def scan(self, one: bool, other: bool) -> bool:
        """Return the output of this scan."""
        ...


@dataclass(slots=True)
class Sr:
    """IEC 61131-3, table of bistable blocks: Q1 := S1 OR (NOT R AND Q1)."""

    q1: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is S1, `other` R."""
        self.q1 = one or (not other and self.q1)
        return self.q1


@dataclass(slots=True)
class Rs:
    """IEC 61131-3, table of bistable blocks: Q1 := NOT R1 AND (S OR Q1)."""

    q1: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is S, `other` R1."""
        self.q1 = not other and (one or self.q1)
        return self.q1


@dataclass(slots=True)
class RTrig:
    """IEC 61131-3 R_TRIG, from memory: Q := CLK AND NOT M; M := CLK."""

    m: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is CLK."""
        del other
        q = one and not self.m
        self.m = one
        return q


@dataclass(slots=True)
class FTrig:
    """IEC 61131-3 F_TRIG, from memory: Q := NOT CLK AND NOT M; M := NOT CLK."""

    m: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is CLK. Fires in the first scan if that is dead, as M starts dead."""
        del other
        q = not one and not self.m
        self.m = not one
        return q


@dataclass(slots=True)
class Ctu:
    """IEC 61131-3 CTU, from memory: R wins; Q := CV >= PV; `top` is the most that CV counts to."""

    pv: int
    top: int
    cv: int = 0
    edge: RTrig | None = None

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is CU, `other` R."""
        self.edge = self.edge or RTrig()
        counts = self.edge.scan(one, other=False)
        if other:
            self.cv = 0
        elif counts and self.cv < self.top:
            self.cv += 1
        return self.cv >= self.pv


@dataclass(slots=True)
class Ctd:
    """IEC 61131-3 CTD, from memory: LD wins; Q := CV <= 0; CV counts down to 0 and no further."""

    pv: int
    cv: int = 0
    edge: RTrig | None = None

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is CD, `other` LD."""
        self.edge = self.edge or RTrig()
        counts = self.edge.scan(one, other=False)
        if other:
            self.cv = self.pv
        elif counts and self.cv > 0:
            self.cv -= 1
        return self.cv <= 0


@dataclass(slots=True)
class Tp:
    """IEC 61131-3 TP: Q for PT from a rising IN, whatever IN does; a new one needs a new edge.

    A rising IN in the scan in which Q falls: the timing diagram leaves it open. Here it is lost, as
    the parts say of theirs.
    """

    pt: int
    since: int | None = None
    was: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is IN."""
        del other
        rises = one and not self.was
        self.was = one
        if self.since is not None:
            self.since += 1
            if self.since >= self.pt:
                self.since = None
                return False
        elif rises:
            self.since = 0
        return self.since is not None


@dataclass(slots=True)
class Ton:
    """IEC 61131-3 TON: ET runs with IN, up to PT; Q := IN and ET = PT; IN dead clears ET."""

    pt: int
    et: int | None = None

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is IN."""
        del other
        if not one:
            self.et = None
            return False
        self.et = 0 if self.et is None else min(self.et + 1, self.pt)
        return self.et >= self.pt


@dataclass(slots=True)
class Tof:
    """IEC 61131-3 TOF: Q with IN; when IN falls ET runs up to PT, and Q falls at ET = PT."""

    pt: int
    et: int | None = None
    q: bool = False

    def scan(self, one: bool, other: bool) -> bool:
        """`one` is IN."""
        del other
        if one:
            self.et, self.q = None, True
        elif self.q:
            self.et = 0 if self.et is None else self.et + 1
            self.q = self.et < self.pt
        return self.q
