"""Pure computation: take-off, rules, checker, model, openings, figures. No I/O, no clock."""
