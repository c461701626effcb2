"""The breaks that each rule asks of a shift, in steps. They say what is due, and post nothing."""
