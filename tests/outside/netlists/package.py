"""Netlists that the package circuitgraph carries, read by its own reader of Verilog.

Those of the ISCAS-89 set are s27, s13207, s38417 and s38584, as a later synthesis left them.

A node that is tied to 0 or 1 becomes a gate that reads nothing: OR of none, AND of none.
"""

from collections.abc import Mapping

import circuitgraph

from tests.outside.netlists.netlist import Gate, Netlist, NetlistError, Placed, ordered


def carried(name: str) -> Netlist:
    """Return a netlist of the package; only flip-flops that have D, Q and a clock are known."""
    return converted(circuitgraph.from_lib(name), name)


def converted(circuit: circuitgraph.Circuit, name: str) -> Netlist:
    """Return a circuit of the package as a netlist.

    A flip-flop is a box whose pin Q drives one net. A tick is one edge of its clock.
    """
    flops: dict[str, str] = {}
    clocks: set[str] = set()
    for box in circuit.blackboxes:
        pins = {pin.upper(): f"{box}.{pin}" for pin in _pins(circuit, box)}
        if not {"D", "Q"} <= set(pins) <= {"D", "Q", "CK", "CLK"}:
            raise NetlistError(f"{name}: {box} is no plain flip-flop: {', '.join(sorted(pins))}")
        (net,) = circuit.fanout(pins["Q"])
        (flops[net],) = circuit.fanin(pins["D"])
        clocks |= {one for pin in ("CK", "CLK") if pin in pins for one in circuit.fanin(pins[pin])}
    gates = _gates(circuit, set(flops), name)
    inputs = tuple(sorted(circuit.inputs() - clocks))
    return Netlist(
        name, inputs, tuple(sorted(circuit.outputs())), gates, dict(sorted(flops.items()))
    )


def _pins(circuit: circuitgraph.Circuit, box: str) -> list[str]:
    ends = (node.rpartition(".") for node in circuit.nodes())
    return [pin for owner, _, pin in ends if owner == box]


def _gates(circuit: circuitgraph.Circuit, flops: set[str], name: str) -> Mapping[str, Placed]:
    gates: dict[str, Placed] = {}
    for node in sorted(circuit.nodes()):
        word = circuit.type(node).upper()
        if word in {"INPUT", "BB_INPUT", "BB_OUTPUT"} or node in flops:
            continue
        word = {"0": "OR", "1": "AND"}.get(word, word)
        if word not in {gate.value for gate in Gate}:
            raise NetlistError(f"{name}: {node} is a {word}, which is none of the gates known here")
        gates[node] = Placed(Gate(word), tuple(sorted(circuit.fanin(node))))
    return ordered(gates, name)
