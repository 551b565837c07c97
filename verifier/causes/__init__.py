"""Why a value is as it is: back through the design to presses, timers and the start."""
