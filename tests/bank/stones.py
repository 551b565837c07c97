"""A claim that is true and hard to prove: what makes it true is the parity of many flags."""


def stones(count: int) -> str:
    """Return a design of so many stones, an odd number.

    Each cord turns two neighbours over, so the number of dark ones stays even and never all are.
    Neither zones nor short inductions see that; the states are 2 to the power of `count` - 1.
    """
    every = " and ".join(f"dark[{n}]" for n in range(1, count + 1))
    return f"""design stones {{
  for n in 1 .. {count - 1} {{
    cord[n] : button
  }}
  keep dark[1 .. {count}]: flag
  dark[1] becomes not dark[1] when cord[1] starts
  for n in 2 .. {count - 1} {{
    dark[n] becomes not dark[n] when cord[n - 1] starts or cord[n] starts
  }}
  dark[{count}] becomes not dark[{count}] when cord[{count - 1}] starts
  one press at a time
  claim uneven: never {every}
}}
"""
