//! Resistance of copper conductors, and the voltage that is left at the end of a run.
