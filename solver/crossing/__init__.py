"""The parts of `solver.cross_check`: times, references, places, promises."""
