"""Functions of time relays: the diagrams of IEC 61812-1 (from memory).

Interval: on with the supply, off after the time, and at once without supply. Single shot at the
leading or the trailing edge of control. Flashing, beginning with the pulse or with the pause.
"""

from tests.outside.desk import broken, lit, loop, rhythm

# The supply itself is switched; what is measured from it is kept beside.
INTERVAL = """
design interval {
  tick 100 ms
  free switched: signal
  mains : supply(2, drops: 0)
  over  : on_delay(SPAN)
  mains.told when switched
  mains -> over
  over.start when switched
  let on = switched and not over.on
  claim at_once: switched starts only while on
  claim full: on lasts at most 2 s
  claim whole: while switched: on lasts at least 2 s
  claim once: while switched: on at most 1 time in any 1 h
  claim dead: on only while switched
}
"""


def test_interval_runs_from_the_supply() -> None:
    assert broken(INTERVAL.replace("SPAN", "2 s")) == set()


def test_interval_of_another_span_is_found() -> None:
    assert broken(INTERVAL.replace("SPAN", "1900 ms")) == {"whole"}
    assert broken(INTERVAL.replace("SPAN", "2100 ms")) == {"full"}


SHOT = """
design shot {
  tick 100 ms
  free control: signal
  mains : supply(2)
  shot  : pulse(1 s)
  mains -> shot
  shot.start when START
  keep since_rise: timer
  keep since_fall: timer
  since_rise loads 1 s when control starts
  since_fall loads 1 s when control ends
  claim leading: control starts and not shot.on leads to shot.on within 1 tick
  claim trailing: control ends and not shot.on leads to shot.on within 1 tick
  claim only_leading: shot.on only after control starts
  claim for_a_rise: shot.on starts only while since_rise = 1 s
  claim for_a_fall: shot.on starts only while since_fall = 1 s
  claim span: shot.on lasts 1 s
}
"""


def test_single_shot_at_either_edge() -> None:
    """A fall is live until the next rise, so that an edge each time is wanted."""
    assert broken(SHOT.replace("START", "control")) == {"trailing", "for_a_fall"}
    assert broken(SHOT.replace("START", "control ends")) == {"leading", "for_a_rise"}


FLASHERS = """
design flashing {
  tick 100 ms
  mains : supply(4)
  feed  : divider
  mains -> feed
  first_on  : flasher(lit: 700 ms, dark: 300 ms)
  first_off : flasher(lit: 300 ms, dark: 700 ms)
  feed.way[1] -> first_on
  feed.way[2] -> first_off
  keep begun: flag
  begun becomes yes
  let pulse_first = first_on.on
  let pause_first = begun and not first_off.on
  claim pulse_at_once: pulse_first no sooner than 1 tick
  claim pulse_soon: eventually pulse_first within 1 tick
  claim pause_kept: pause_first no sooner than 400 ms
  claim pause_over: eventually pause_first within 400 ms
  claim too_late: eventually pause_first within 300 ms
  claim beat: pause_first lasts 700 ms
  claim gap: pause_first returns within 400 ms
}
"""


def test_flashing_begins_with_the_pulse_or_the_pause() -> None:
    assert broken(FLASHERS) == {"too_late"}
    found = rhythm(FLASHERS)
    assert loop(found)[1] == 10
    assert sum(end - start for start, end in lit(found, "pulse_first")) == 7
    assert sum(end - start for start, end in lit(found, "pause_first")) == 7
