"""A trap in words: what shuts it for good, and the acts that led into it."""

from collections.abc import Iterator

from verifier.causes.trap import Never, Trap
from verifier.report.phrases import Phrases

_MOST = 4  # things that can never be again


def trapped(trap: Trap, phrases: Phrases, tick: int) -> Iterator[str]:
    """Yield sentences about a trap that is shut from a tick on."""
    never = [one for one in trap.never if _is_telling(one, phrases)][:_MOST]
    if never:
        words = " and ".join(phrases.never(phrases.nets[one.path], live=one.live) for one in never)
        yield f"From {phrases.clock.moment(tick)} on, whatever anyone does, {words}."
        which = "it were" if len(never) == 1 else "one of them were"
        yield f"If {which} otherwise, there would be a way."
    presses = trap.near.plan.presses
    if presses and len(trap.acts) == len(presses):
        each = "the one act" if len(presses) == 1 else f"any one of the {len(presses)} acts"
        yield f"Without {each} there would still be a way."
    elif trap.acts:
        last = trap.acts[-1]
        who = phrases.owner(trap.near.system.choices[_place(trap, last.choice)].name)
        yield f"Without {who} at {phrases.clock.moment(last.start)} there would still be a way."


def _place(trap: Trap, choice: int) -> int:
    return trap.near.machine.cone.choices[choice]


def _is_telling(one: Never, phrases: Phrases) -> bool:
    """Whether people know it by a name: an output of a part, how it stands, or a net of theirs."""
    net, part = phrases.nets[one.path], phrases.parts.get(phrases.owner(one.path))
    return part is None or net in part.ports_out[:1] or phrases.is_state(net)
