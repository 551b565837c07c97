"""What a wiring drawing holds: boxes with ports, and the wires between them; no places yet."""

from dataclasses import dataclass, field

from verifier.design.model import Term


@dataclass(frozen=True, slots=True)
class Port:
    """A place on a box where a wire may end; `path` is that of its net, "" where it has none.

    At an input, `negated` asks for the dead wire and `edge` for the tick in which it starts; where
    both are set, for the one in which it ends. At the output of a gate, `term` is what it gives.
    """

    name: str
    path: str = ""
    power: bool = False
    negated: bool = False
    edge: bool = False
    term: Term | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """A part, a gate of a condition, or something kept by the design.

    `key` is its own within the drawing (a part's is its path), `words` stand inside of it.
    """

    key: str
    kind: str
    title: str = ""
    detail: str = ""
    words: str = ""
    ins: tuple[Port, ...] = ()
    outs: tuple[Port, ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class Pin:
    """A port of a box: an output at the source of a wire, an input at its target."""

    box: int
    port: int


@dataclass(frozen=True, slots=True)
class Wire:
    """What leaves one output, to all inputs that it leads to."""

    source: Pin
    targets: tuple[Pin, ...]


@dataclass(frozen=True, slots=True)
class Scheme:
    """Boxes and wires; pins count boxes from 0."""

    boxes: tuple[Box, ...]
    wires: tuple[Wire, ...]

    def source(self, wire: Wire) -> Port:
        """Return the port that a wire leaves."""
        return self.boxes[wire.source.box].outs[wire.source.port]


@dataclass(slots=True)
class Draft:
    """A scheme in the making."""

    heads: list[Box] = field(default_factory=list)
    ins: list[list[Port]] = field(default_factory=list)
    outs: list[list[Port]] = field(default_factory=list)
    ties: dict[Pin, list[Pin]] = field(default_factory=dict)

    def place(self, head: Box) -> int:
        """Add a box, and return its number."""
        self.heads.append(head)
        self.ins.append(list(head.ins))
        self.outs.append(list(head.outs))
        return len(self.heads) - 1

    def output(self, box: int, port: Port) -> Pin:
        """Return the pin of an output, which is added if it is new."""
        if port not in self.outs[box]:
            self.outs[box].append(port)
        return Pin(box, self.outs[box].index(port))

    def tie(self, source: Pin, box: int, port: Port) -> None:
        """Add an input to a box, and a wire to it."""
        self.ins[box].append(port)
        self.ties.setdefault(source, []).append(Pin(box, len(self.ins[box]) - 1))

    def scheme(self) -> Scheme:
        """Return what was drafted."""
        boxes = tuple(
            Box(head.key, head.kind, head.title, head.detail, head.words, tuple(ins), tuple(outs))
            for head, ins, outs in zip(self.heads, self.ins, self.outs, strict=True)
        )
        wires = [Wire(source, tuple(targets)) for source, targets in sorted(self.ties.items())]
        return Scheme(boxes, tuple(wires))
